"""The vectors of business days and promises that the phone's twin runs as well (`fixtures/parts/promises.json`)."""

import json
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.rules import ShopCalendar, public_holidays
from shopapi.core.schema import parse
from shopapi.parts.rules.business_days import add_business_days, business_days_between, open_days_of
from shopapi.parts.rules.lead_times import Wait, lead_time, usual_lead_time
from shopapi.parts.rules.promise import Expected, chance_of_all, days_for_all

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "parts" / "promises.json").read_text("utf-8"))
CALENDAR = parse(ShopCalendar, VECTORS["calendar"]["calendar"])
HOLIDAYS = [date.fromisoformat(day) for day in VECTORS["calendar"]["holidays"]]
OPEN_DAYS = open_days_of(CALENDAR, HOLIDAYS)


def test_holidays_are_those_of_the_calendar() -> None:
    assert sorted(public_holidays(CALENDAR.country, CALENDAR.region, [2026, 2027])) == HOLIDAYS


def test_business_days() -> None:
    for day, count, expected in VECTORS["offsets"]:
        assert add_business_days(date.fromisoformat(day), count, OPEN_DAYS).isoformat() == expected
    for first, last, expected in VECTORS["between"]:
        found = business_days_between(date.fromisoformat(first), date.fromisoformat(last), OPEN_DAYS)
        assert found == expected


def expected_part(part: Any) -> Expected:
    waits = [Wait(days, arrived=True) for days in part["ended"]] + [Wait(days, arrived=False) for days in part["open"]]
    known = lead_time(waits) if part["usual"] is None else usual_lead_time(part["usual"])
    supplier = None if part["supplier"] is None else UUID(int=part["supplier"])
    return Expected(supplier, known, part["waited"], part["not_before"])


@pytest.mark.parametrize("case", VECTORS["promises"])
def test_promises(case: Any) -> None:
    parts = [expected_part(part) for part in case["parts"]]
    assert days_for_all(parts, case["share"]) == case["days"]
    assert [chance_of_all(parts, days) for days in (0, 3, 7)] == pytest.approx(case["chances"])
