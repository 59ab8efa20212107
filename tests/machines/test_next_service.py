"""Forecasts of the next service: certified values, scipy, and cases worked by hand (`fixtures/machines`)."""

import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, timedelta
from math import sqrt
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from shopapi.machines.rules.next_service import Interval, NextService, add_months, next_service, season_start, use_of
from shopapi.machines.rules.regression import fit_line, t_below, t_quantile
from shopapi.machines.rules.season import EVEN, HoursReading, Shares, month_shares, season_time, use_rates

FIXTURES = Path(__file__).parents[2] / "fixtures" / "machines"
MAY = date(2026, 5, 1)
APRIL = date(2027, 4, 1)
FIFTY_OR_YEAR = Interval(50, 12)


def used(*readings: tuple[int, float], first: date = MAY, segment: int = 1) -> list[HoursReading]:
    """Readings so many days after the first day."""
    return [HoursReading(segment, first + timedelta(days=days), hours) for days, hours in readings]


def forecast(
    readings: Sequence[HoursReading],
    interval: Interval = FIFTY_OR_YEAR,
    *,
    done_on: date = MAY,
    by_day: date = APRIL,
    rates: Sequence[float] = (),
    shares: Shares = EVEN,
) -> NextService:
    return next_service(interval, done_on, use_of(readings, shares, rates), by_day)


def test_line_of_the_norris_data() -> None:
    """NIST Statistical Reference Datasets, Norris: the certified values, to 11 digits."""
    norris = json.loads((FIXTURES / "norris.json").read_text("utf-8"))
    certified = norris["certified"]
    line = fit_line([norris["points"]])
    assert line is not None
    assert line.spread is not None
    assert line.slope == pytest.approx(certified["slope"], rel=1e-11)
    assert line.at(0) == pytest.approx(certified["intercept"], rel=1e-11)
    assert line.spread == pytest.approx(certified["spread"], rel=1e-11)
    assert line.spread / sqrt(line.sxx) == pytest.approx(certified["slope_deviation"], rel=1e-11)
    of_intercept = line.spread * sqrt(1 / line.count + line.mean_x**2 / line.sxx)
    assert of_intercept == pytest.approx(certified["intercept_deviation"], rel=1e-11)


@given(st.floats(-60, 60), st.integers(1, 200))
def test_t_distribution_is_that_of_scipy(t: float, freedom: int) -> None:
    assert t_below(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), rel=1e-9, abs=1e-14)


@given(st.floats(0.001, 0.999), st.integers(1, 200))
def test_t_quantile_is_that_of_scipy(chance: float, freedom: int) -> None:
    assert t_quantile(chance, freedom) == pytest.approx(stats.t.ppf(chance, freedom), rel=1e-8, abs=1e-7)


@given(
    st.lists(st.tuples(st.integers(0, 400), st.integers(0, 300)), min_size=4, max_size=12, unique_by=lambda p: p[0]),
    st.integers(401, 900),
)
def test_prediction_interval_is_that_of_scipy(points: list[tuple[int, int]], x: int) -> None:
    """One more point lies within +/- t(0.9) s sqrt(1 + 1/n + ...) around scipy's line with 8 chances of 10."""
    line = fit_line([[(float(a), float(b)) for a, b in points]])
    theirs = stats.linregress([a for a, _ in points], [b for _, b in points])
    assert line is not None
    n, mean = len(points), sum(a for a, _ in points) / len(points)
    sxx = sum((a - mean) ** 2 for a, _ in points)
    s = theirs.stderr * sqrt(sxx)
    assert line.at(x) == pytest.approx(theirs.intercept + theirs.slope * x, rel=1e-9, abs=1e-9)
    deviation = line.deviation(x)
    assert deviation is not None
    assert deviation == pytest.approx(s * sqrt(1 + 1 / n + (x - mean) ** 2 / sxx), rel=1e-6, abs=1e-6)


def test_two_meters_share_a_slope() -> None:
    """As a regression on a column of 0 and 1 for the second meter; with one point in it, that point's residual is 0."""
    first, second = [(0.0, 100.0), (10.0, 112.0), (20.0, 118.0), (30.0, 131.0)], [(40.0, 1.0), (50.0, 11.5)]
    line = fit_line([first, second])
    assert line is not None
    centred = [(x - 15, y - 115.25) for x, y in first] + [(x - 45, y - 6.25) for x, y in second]
    theirs = sum(x * y for x, y in centred) / sum(x * x for x, _ in centred)
    assert line.slope == pytest.approx(theirs)
    assert line.freedom == 3
    assert line.at(45) == pytest.approx(6.25)


@pytest.mark.parametrize("hours", [10, 25, 50, 100])
@pytest.mark.parametrize("months", [1, 3, 6, 12, 24])
@pytest.mark.parametrize("per_day", [0.05, 0.25, 0.5, 1, 4])
def test_whichever_comes_first(hours: int, months: int, per_day: float) -> None:
    """A machine with exactly so many hours a day is due after hours / rate days or on the day of the month."""
    found = forecast(used((0, 100), (50, 100 + 50 * per_day)), Interval(hours, months))
    by_months = add_months(MAY, months)
    # The scale of the season makes a month of a leap year or of another length differ by a day at most.
    by_hours = MAY + timedelta(days=hours / per_day)
    assert found.due_on is not None
    assert abs(found.due_on - min(by_hours, by_months)) <= timedelta(days=2)
    if abs(by_hours - by_months) > timedelta(days=2):
        assert found.by == ("hours" if by_hours < by_months else "months")
    assert found.basis == "two_readings"
    assert (found.earliest, found.latest) == (None, None)


def test_either_alone() -> None:
    steady = used((0, 0), (10, 10), (20, 20))
    assert forecast(steady, Interval(50, None)).due_on == MAY + timedelta(days=50)
    assert forecast(steady, Interval(None, 12)).due_on == date(2027, 5, 1)
    assert forecast(steady, Interval(None, 12)).by == "months"


def test_interval_around_the_day() -> None:
    found = forecast(used((0, 0), (10, 12), (20, 18), (30, 33), (40, 41)))
    assert found.basis == "readings"
    assert found.earliest is not None
    assert found.latest is not None
    assert found.due_on is not None
    assert found.earliest < found.due_on < found.latest
    assert found.used == 41


def test_chance_by_a_day_is_that_of_scipy() -> None:
    readings = used((0, 0), (10, 12), (20, 18), (30, 33), (40, 41))
    day = MAY + timedelta(days=47)
    x = [season_time(one.day, EVEN) for one in readings]
    line = stats.linregress(x, [one.hours for one in readings])
    n, mean, sxx = len(x), sum(x) / len(x), sum((one - sum(x) / len(x)) ** 2 for one in x)
    at = season_time(day, EVEN)
    deviation = line.stderr * sqrt(sxx) * sqrt(1 + 1 / n + (at - mean) ** 2 / sxx)
    theirs = stats.t.cdf((line.intercept + line.slope * at - 50) / deviation, n - 2)
    assert forecast(readings, by_day=day).chance == pytest.approx(theirs, rel=1e-6)
    assert 0.2 < theirs < 0.8


def test_one_reading_uses_other_machines_of_the_kind() -> None:
    found = forecast(used((0, 100)), rates=(0.25, 0.5, 1.0))
    assert found.basis == "other_machines"
    assert found.due_on is not None
    assert abs(found.due_on - (MAY + timedelta(days=100))) <= timedelta(days=2), "50 h at half an hour a day"
    assert found.earliest is not None
    assert abs(found.earliest - (MAY + timedelta(days=50))) <= timedelta(days=2)
    assert found.chance == 1
    assert forecast(used((0, 100)), by_day=MAY + timedelta(days=120), rates=(0.25, 0.5, 1.0)).chance == (
        pytest.approx(2 / 3)
    )


def test_one_reading_and_too_few_others_leave_the_months() -> None:
    found = forecast(used((0, 100)), rates=(0.5, 1.0))
    assert (found.basis, found.by, found.due_on, found.chance) == ("months", "months", date(2027, 5, 1), 0)
    assert forecast(used((0, 100)), Interval(50, None)) == NextService("months", None, None)


def test_no_reading() -> None:
    assert forecast([]).due_on == date(2027, 5, 1)
    assert forecast([], by_day=date(2027, 5, 1)).chance == 1
    assert forecast([], Interval(50, None)) == NextService("months", None, None)


def test_a_machine_that_stands_still_is_due_by_months() -> None:
    found = forecast(used((0, 100), (40, 100), (80, 100)))
    assert (found.by, found.due_on, found.chance, found.used) == ("months", date(2027, 5, 1), 0, 0)
    still = forecast(used((0, 100), (40, 100), (80, 100)), Interval(50, None))
    assert (still.by, still.due_on, still.chance) == (None, None, 0)


def test_readings_that_go_down_are_not_used() -> None:
    found = forecast(used((0, 100), (40, 90), (80, 130)))
    assert (found.basis, found.by, found.due_on) == ("meter_falls", "months", date(2027, 5, 1))


def test_hours_already_reached_are_due_on_the_day_between_two_readings() -> None:
    """150 h lie two thirds of the way from 130 to 160, which were read 20 days apart."""
    found = forecast(used((0, 100), (40, 130), (60, 160), (80, 190)))
    assert (found.by, found.due_on, found.chance) == ("hours", MAY + timedelta(days=54), 1)


def test_a_replaced_meter_goes_on_counting() -> None:
    """One hour a day throughout: 20 h on the old meter and 20 days later on the new one, which began at 3."""
    readings = [*used((0, 100), (10, 110), (20, 120)), *used((25, 3), (35, 13), segment=2)]
    found = forecast(readings, Interval(50, None))
    assert found.due_on is not None
    assert abs(found.due_on - (MAY + timedelta(days=50))) <= timedelta(days=1)
    assert found.used == pytest.approx(35, abs=0.1)


def test_service_done_between_two_readings() -> None:
    found = forecast(used((0, 100), (20, 120), (40, 140)), Interval(50, None), done_on=MAY + timedelta(days=10))
    assert found.due_on is not None
    assert abs(found.due_on - (MAY + timedelta(days=60))) <= timedelta(days=1)


def test_months_of_the_shops_own_machines() -> None:
    """Mowers that run 2 h a day in June and not at all in December: much of the year's use falls in June."""
    summer = used((0, 0), (30, 60), first=date(2026, 6, 1))
    winter = used((0, 60), (30, 60), first=date(2026, 12, 1))
    shares = month_shares([[*summer, *winter]] * 20)
    assert sum(shares) == pytest.approx(1)
    assert shares[5] > 1.7 * EVEN[5]
    assert shares[11] < 0.4 * EVEN[11]
    assert month_shares([]) == EVEN
    few = month_shares([[*summer, *winter]])
    assert EVEN[5] < few[5] < shares[5], "one machine says less than twenty"


def test_season_moves_the_day() -> None:
    """In autumn a mower's hours stop; a service of the same hours is due in spring instead of in winter."""
    shares = tuple(share / sum(SUMMER) for share in SUMMER)
    readings = used((0, 0), (30, 15), (60, 30), (90, 45), first=date(2026, 6, 1))
    even = forecast(readings, Interval(75, None), done_on=date(2026, 6, 1)).due_on
    seasonal = forecast(readings, Interval(75, None), done_on=date(2026, 6, 1), shares=shares).due_on
    assert even is not None
    assert seasonal is not None
    assert even.month in (10, 11)
    assert date(2027, 3, 1) < seasonal < date(2027, 7, 1)


SUMMER = (0.0, 0.0, 0.2, 1.0, 1.0, 1.0, 1.0, 1.0, 0.4, 0.0, 0.0, 0.0)


@given(st.dates(date(2020, 1, 1), date(2035, 12, 30)), st.lists(st.floats(0, 9), min_size=12, max_size=12))
def test_time_of_the_season_grows_and_a_year_is_a_year(day: date, weights: list[float]) -> None:
    shares = tuple((one + 0.01) / (sum(weights) + 0.12) for one in weights)
    assert season_time(day + timedelta(days=1), shares) > season_time(day, shares)
    assert season_time(date(day.year + 1, 1, 1), shares) - season_time(date(day.year, 1, 1), shares) == (
        pytest.approx(365.25)
    )


def test_rates_of_machines() -> None:
    half, whole = used((0, 0), (60, 30)), used((0, 10), (60, 70))
    assert use_rates([whole, half, used((0, 5)), used((0, 5), (9, 50))], EVEN) == pytest.approx([0.5, 1], rel=0.02)


def test_days() -> None:
    assert add_months(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert season_start(date(2026, 3, 31), 4, 1) == date(2026, 4, 1)
    assert season_start(date(2026, 12, 31), 2, 29) == date(2027, 2, 28)


@given(
    st.lists(st.tuples(st.integers(0, 700), st.integers(0, 900)), max_size=8, unique_by=lambda pair: pair[0]),
    st.lists(st.floats(0, 3), max_size=6),
    st.integers(-30, 700),
)
def test_any_readings_give_an_answer(drawn: list[tuple[int, int]], rates: list[float], done: int) -> None:
    days, hours = sorted(day for day, _ in drawn), sorted(hours for _, hours in drawn)
    readings = used(*zip(days, hours, strict=True))
    found = forecast(readings, rates=sorted(rates), done_on=MAY + timedelta(days=done))
    assert found.due_on is not None
    assert found.chance is not None
    assert 0 <= found.chance <= 1
    assert found.due_on <= add_months(MAY + timedelta(days=done), 12), "never later than its months"
    if found.earliest and found.latest:
        assert found.earliest <= found.latest


VECTORS = json.loads((FIXTURES / "next_service.json").read_text("utf-8"))


def as_read(written: list[list[Any]]) -> list[HoursReading]:
    return [HoursReading(segment, date.fromisoformat(day), hours) for segment, day, hours in written]


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["name"])
def test_vectors_of_both_twins(case: Any) -> None:
    shares = EVEN if case["shares"] == "even" else tuple(VECTORS["summer"]["shares"])
    found = forecast(
        as_read(case["readings"]),
        Interval(case["hours"], case["months"]),
        done_on=date.fromisoformat(case["done_on"]),
        by_day=date.fromisoformat(case["by_day"]),
        rates=case["rates"],
        shares=shares,
    )
    plain = {name: value.isoformat() if isinstance(value, date) else value for name, value in asdict(found).items()}
    assert plain == pytest.approx(case["expect"])
