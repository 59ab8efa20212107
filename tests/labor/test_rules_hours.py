"""Days, weeks, rounding, overtime and the trade's ratios, against published figures."""

import json
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from shopapi.labor.rules.overtime import HOUR, PaidTime, compute_week_pay
from shopapi.labor.rules.rounding import Bias, biases, rounded
from shopapi.labor.rules.spans import WorkSpan, days_from, first_moment, first_of_week, split_by_day
from shopapi.labor.rules.week import efficiency, member_days, recovery, rework_per_hundred

VECTORS = Path(__file__).parents[2] / "fixtures" / "labor"
WEEKS = json.loads((VECTORS / "weeks.json").read_text())
ROUNDING = json.loads((VECTORS / "rounding.json").read_text())
NEW_YORK = "America/New_York"
ADA = UUID(int=1)


def worked(case: dict[str, str]) -> WorkSpan:
    began, ended = (datetime.fromisoformat(case[f"{end}_at"]) for end in ("started", "ended"))
    return WorkSpan(UUID(case["member_id"]), case["kind"], began, ended)


def at(hour: int, minute: int = 0) -> datetime:
    """An hour of one November day in New York."""
    return datetime(2026, 11, 25, hour, minute, tzinfo=ZoneInfo(NEW_YORK)).astimezone(UTC)


@pytest.mark.parametrize("case", WEEKS["first_moments"])
def test_when_a_day_begins(case: dict[str, str]) -> None:
    assert first_moment(date.fromisoformat(case["day"]), case["zone"]) == datetime.fromisoformat(case["is"])


@pytest.mark.parametrize("case", WEEKS["weeks"])
def test_when_a_week_begins(case: dict[str, str]) -> None:
    assert first_of_week(date.fromisoformat(case["day"]), case["start"]) == date.fromisoformat(case["is"])


@pytest.mark.parametrize("case", WEEKS["by_day"], ids=lambda case: case["says"])
def test_spans_are_cut_where_a_day_ends(case: dict[str, Any]) -> None:
    days = days_from(date.fromisoformat(case["first"]), case["count"], case["zone"])
    found = split_by_day(map(worked, case["spans"]), days)
    assert [[on.isoformat(), part.seconds] for on, part in found] == case["is"]


def test_a_job_done_daily_until_a_day_is_counted_as_the_standard_counts_it() -> None:
    """RFC 5545, 3.8.5.3: daily at 09:00 New York from 1997-09-02 until 19971224T000000Z, EDT to October 25, then EST.

    The 24th is left out; 113 is our count of the days that the standard lists.
    """
    until = datetime(1997, 12, 24, tzinfo=UTC)
    zone = ZoneInfo(NEW_YORK)
    starts = [
        datetime.combine(date(1997, 9, 2) + timedelta(days=ahead), time(9), zone).astimezone(UTC)
        for ahead in range(150)
    ]
    spans = [WorkSpan(ADA, "repair", start, start + timedelta(hours=1)) for start in starts if start <= until]
    found = split_by_day(spans, days_from(date(1997, 9, 1), 150, NEW_YORK))
    assert len(found) == 113
    assert [part.started_at.hour for _, part in found] == [13] * 54 + [14] * 59
    assert (found[53][0], found[54][0], found[-1][0]) == (date(1997, 10, 25), date(1997, 10, 26), date(1997, 12, 23))


def test_a_journey_from_job_to_job_and_back_to_the_shop_is_worked_and_the_way_home_is_not() -> None:
    """29 CFR 785.38: done at 5 pm, sent to another job until 8 pm, back at the shop by 9 pm: all counts.

    Home from that job instead: the day ends at 8 pm.
    """
    day = [
        WorkSpan(ADA, "repair", at(8), at(17)),
        WorkSpan(ADA, "travel", at(17), at(17, 30)),
        WorkSpan(ADA, "repair", at(17, 30), at(20)),
    ]
    back = WorkSpan(ADA, "travel", at(20), at(21))
    days = days_from(date(2026, 11, 25), 1, NEW_YORK)
    (home,) = member_days(day, days)
    assert (home.ended_at, home.seconds) == (at(20), 12 * HOUR)
    (returned,) = member_days([*day, back], days)
    assert (returned.ended_at, returned.seconds, returned.kinds["travel"]) == (at(21), 13 * HOUR, 5400)


@pytest.mark.parametrize(
    ("paid", "bonus_minor", "rate", "total"),
    [
        # 29 CFR 778.110(a): 46 hours at $12; (b): the same with a bonus of $46.
        ([(46, 1200)], 0, Fraction(1200), 58800),
        ([(46, 1200)], 4600, Fraction(1300), 63700),
        # The figures of the older text, at $6 with a bonus of $9.20.
        ([(46, 600)], 0, Fraction(600), 29400),
        ([(46, 600)], 920, Fraction(620), 30380),
        # 29 CFR 778.115, two rates (inputs ours; result calculated by hand: 657/48 = 13.6875).
        ([(39, 1500), (9, 800)], 0, Fraction(136875, 100), 71175),
    ],
)
def test_a_week_with_overtime_comes_to_what_the_regulation_says(
    paid: list[tuple[int, int]], bonus_minor: int, rate: Fraction, total: int
) -> None:
    week = compute_week_pay(
        [PaidTime(hours * HOUR, Fraction(minor)) for hours, minor in paid],
        bonus_minor=bonus_minor,
        after_hours=Decimal(40),
        multiplier=Decimal("1.5"),
    )
    assert (week.regular_rate, week.total_minor) == (rate, total)


def test_a_week_under_the_threshold_earns_no_premium_and_an_empty_one_its_bonus() -> None:
    rules = {"after_hours": Decimal(40), "multiplier": Decimal("1.5")}
    assert compute_week_pay([PaidTime(40 * HOUR, Fraction(1200))], bonus_minor=0, **rules).premium_minor == 0
    empty = compute_week_pay([], bonus_minor=500, **rules)
    assert (empty.total_minor, empty.regular_rate) == (500, Fraction(0))


@pytest.mark.parametrize("case", ROUNDING["rounded"])
def test_punches_round_to_the_nearest_step_of_the_shops_clock(case: dict[str, Any]) -> None:
    found = rounded(datetime.fromisoformat(case["at"]), case["step"], case["zone"])
    assert found == datetime.fromisoformat(case["is"])


@pytest.mark.parametrize("case", ROUNDING["biases"], ids=lambda case: case["says"])
def test_the_bias_of_rounding_is_in_plain_sight(case: dict[str, Any]) -> None:
    (found,) = biases(map(worked, case["spans"]), case["zone"])
    assert found.seconds == case["seconds"]
    assert {str(step): seconds for step, seconds in found.rounded.items()} == case["rounded"]
    assert found.against == case["against"]


def test_a_member_loses_time_by_any_second_less_than_worked() -> None:
    assert Bias(ADA, spans=1, seconds=3600, rounded={5: 3599, 6: 3600, 15: 3601}).against == [5]


def test_biases_are_listed_by_member_whatever_they_worked() -> None:
    began = datetime(2026, 11, 25, 15, tzinfo=UTC)
    later = [WorkSpan(UUID(int=n), "repair", began, began + timedelta(hours=9 - n)) for n in (3, 1, 2)]
    assert [bias.member_id.int for bias in biases(later, NEW_YORK)] == [1, 2, 3]


def test_the_trades_ratios() -> None:
    """Common practice, no published source: 1 h billed in 45 min is 133 %, 9 in 8 is 112.5 %; 6 of 8 paid is 75 %."""
    done = efficiency(3600, 2700)
    assert done is not None
    assert round(done) == 133
    assert efficiency(9 * HOUR, 8 * HOUR) == Fraction(225, 2)
    assert recovery(6 * HOUR, 8 * HOUR) == 75
    assert efficiency(HOUR, 0) is None
    assert recovery(0, 0) is None
    assert rework_per_hundred({"repair": 45 * HOUR, "rework": 5 * HOUR, "shop": 50 * HOUR}) == 10
    assert rework_per_hundred({"shop": HOUR}) is None
