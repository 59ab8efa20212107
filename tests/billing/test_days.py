"""Ageing, stages of reminders, storage and warranty by days: conventions of the issue, worked by hand."""

import json
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.billing.rules.ageing import BUCKETS, OpenAmount, age_amounts, bucket_of, days_late
from shopapi.billing.rules.payment_reminders import stage_reached
from shopapi.billing.rules.storage_days import ReadyNotice, ResumedDays, StorageTerms, storage_charge
from shopapi.billing.rules.storage_words import storage_words
from shopapi.billing.rules.warranty import (
    LineMark,
    MeterHours,
    WarrantyTerms,
    not_credited,
    warranty_standing,
    warranty_state,
)
from shopapi.documents.rules.number_format import Figures

FIXTURES = Path(__file__).parents[2] / "fixtures" / "billing"


def vectors(name: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads((FIXTURES / name).read_text("utf-8"))
    return found


@pytest.mark.parametrize("case", vectors("ageing.json"))
def test_ageing_by_days_past_due(case: dict[str, Any]) -> None:
    """Buckets of the issue: current, 1 to 30, 31 to 60, 61 to 90, over 90."""
    amounts = [OpenAmount(None if due is None else date.fromisoformat(due), minor) for due, minor in case["amounts"]]
    aged = age_amounts(amounts, date.fromisoformat(case["today"]))
    assert {bucket: minor for bucket, minor in aged.items() if minor} == case["expect"]
    assert tuple(aged) == BUCKETS


@given(
    st.lists(st.tuples(st.none() | st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(-(10**9), 10**9))),
    st.dates(date(2020, 1, 1), date(2030, 1, 1)),
)
def test_buckets_add_up_to_what_is_open(drawn: list[tuple[date | None, int]], today: date) -> None:
    aged = age_amounts([OpenAmount(due, minor) for due, minor in drawn], today)
    assert sum(aged.values()) == sum(minor for _, minor in drawn)


def test_each_day_is_in_the_bucket_that_numpy_counts() -> None:
    """Against `numpy.digitize` of numpy's own day arithmetic, for 200 days around the due day."""
    due = date(2024, 2, 20)
    names = ["current", "days_30", "days_60", "days_90", "over_90"]
    for offset in range(-50, 150):
        today = due + timedelta(days=offset)
        late = int((np.datetime64(today) - np.datetime64(due)).astype(int))
        assert bucket_of(OpenAmount(due, 1), today) == names[int(np.digitize(late, [1, 31, 61, 91]))]
        assert days_late(due, today) == max(late, 0)


@pytest.mark.parametrize(("day", "stage"), [(1, None), (3, None), (4, 1), (14, 1), (15, 2), (30, 2), (31, 3), (400, 3)])
def test_stage_of_a_reminder_begins_on_its_day(day: int, stage: int | None) -> None:
    due = date(2026, 11, 1)
    assert stage_reached(due, due + timedelta(days=day - 1), (3, 14, 30)) == stage
    assert stage_reached(due, due + timedelta(days=day), ()) is None


TOLD = ReadyNotice(date(2026, 11, 1), "email", "ada@example.org")


@pytest.mark.parametrize("case", vectors("storage.json"), ids=lambda case: case["name"])
def test_storage_is_charged_after_the_free_days(case: dict[str, Any]) -> None:
    """Days counted by hand on a calendar: the day of the notice is not counted, the last one is."""
    terms = None if case["terms"] is None else StorageTerms(**case["terms"])
    notices = [ReadyNotice(date.fromisoformat(on), "email", "ada@example.org") for on in case["notices"]]
    through = None if case["through"] is None else date.fromisoformat(case["through"])
    resumed = [
        ResumedDays(*(day and date.fromisoformat(day) for day in span.values())) for span in case.get("resumed", [])
    ]
    charge = storage_charge(terms, notices, through, billed_minor=case["billed_minor"], resumed=resumed)
    free_through = None if charge.free_through is None else charge.free_through.isoformat()
    shown = {name: getattr(charge, name) for name in ("days", "charged_days", "amount_minor", "due_minor", "why")}
    shown |= {"free_through": free_through, "evidence": len(charge.evidence), "paused_days": charge.paused_days}
    assert shown == {"paused_days": 0} | case["expect"]
    assert list(charge.evidence) == sorted(charge.evidence, key=lambda one: one.on), "the first notice counts"


@pytest.mark.parametrize(
    "case", vectors("storage_words.json"), ids=lambda case: f"{case['language']} {case['paused_days']}"
)
def test_the_line_of_storage_says_what_it_counts_and_why(case: dict[str, Any]) -> None:
    terms = StorageTerms(7, 300, 5000)
    charge = storage_charge(terms, [TOLD], date(2026, 12, 1), billed_minor=600)
    charge = replace(charge, paused_days=case["paused_days"])
    figures = Figures(case["locale"], "USD", "America/Chicago", case["language"])
    assert storage_words(terms, charge, figures, case["language"]) == case["words"]
    with pytest.raises(ValueError, match="without a notice"):
        storage_words(terms, storage_charge(terms, [], date(2026, 12, 1)), figures, "en")


def read_as(case: dict[str, Any]) -> tuple[WarrantyTerms, date, list[MeterHours]]:
    hours = None if case["hours"] is None else Decimal(case["hours"])
    terms = WarrantyTerms(date.fromisoformat(case["from"]), case["days"], hours)
    readings = [MeterHours(segment, Decimal(hours), date.fromisoformat(on)) for segment, hours, on in case["readings"]]
    return terms, date.fromisoformat(case["on"]), readings


@pytest.mark.parametrize("case", vectors("warranty.json"))
def test_warranty_includes_both_ends(case: dict[str, Any]) -> None:
    standing = warranty_standing(*read_as(case))
    found = {
        "expect": standing.state,
        "through": standing.through and standing.through.isoformat(),
        "through_hours": None if standing.through_hours is None else f"{standing.through_hours.normalize():f}",
    }
    assert found == {name: case[name] for name in found}
    assert warranty_state(*read_as(case)) == standing.state


@given(st.dates(date(2024, 1, 1), date(2027, 1, 1)), st.integers(0, 400), st.integers(0, 800))
def test_days_of_warranty_are_those_that_numpy_counts(start: date, days: int, after: int) -> None:
    """Against numpy's day arithmetic: day 0 is the invoice date, day `days` the last one."""
    on = start + timedelta(days=after)
    counted = int((np.datetime64(on) - np.datetime64(start)).astype(int))
    expected = "covered" if counted <= days else "over_by_days"
    assert warranty_state(WarrantyTerms(start, days, None), on, []) == expected


@given(st.lists(st.integers(0, 400), min_size=2, max_size=8), st.integers(1, 500))
def test_hours_of_one_meter_are_a_plain_difference(steps: list[int], hours: int) -> None:
    """On one meter that only counts up, what ran is the last figure less the first, in tenths of an hour."""
    start = date(2026, 5, 1)
    figures = [sum(steps[: nth + 1]) for nth in range(len(steps))]
    readings = [MeterHours(1, Decimal(tenths) / 10, start + timedelta(days=nth)) for nth, tenths in enumerate(figures)]
    standing = warranty_standing(WarrantyTerms(start, None, Decimal(hours) / 10), start + timedelta(days=9), readings)
    ran = figures[-1] - figures[0]
    assert standing.state == ("covered" if ran <= hours else "over_by_hours")
    assert standing.through_hours == Decimal(figures[0] + hours) / 10


@pytest.mark.parametrize("case", vectors("credited_lines.json"), ids=lambda case: case["name"])
def test_a_credited_line_has_no_warranty(case: dict[str, Any]) -> None:
    def marks(rows: list[list[Any]]) -> list[LineMark]:
        return [LineMark(at, kind, line and UUID(line), need and UUID(need)) for at, kind, line, need in rows]

    assert not_credited(marks(case["lines"]), marks(case["credited"])) == case["expect"]
