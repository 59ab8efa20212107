"""Business days against numpy with the same holidays; need-by against a textbook network and networkx."""

import json
from datetime import date, timedelta
from decimal import Decimal
from graphlib import CycleError
from pathlib import Path
from typing import Any

import holidays
import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.accounts.rules import public_holidays
from shopapi.parts.rules.business_days import OpenDays, add_business_days, business_days_between
from shopapi.parts.rules.need_by import AcceptedWork, NetworkWork, hours_from, in_days, latest_order_day, latest_starts

DAYS = st.dates(date(2025, 6, 1), date(2027, 6, 1))
WISCONSIN = public_holidays("US", "WI", range(2024, 2030))


def mask(weekdays: frozenset[int]) -> list[int]:
    return [int(day in weekdays) for day in range(7)]


@given(DAYS, st.integers(-60, 60), st.frozensets(st.integers(0, 6), min_size=1), st.frozensets(DAYS, max_size=20))
def test_offset_is_that_of_numpy(day: date, count: int, weekdays: frozenset[int], own: frozenset[date]) -> None:
    closed = WISCONSIN | own
    theirs = np.busday_offset(
        day,
        count,
        roll="forward" if count >= 0 else "backward",
        weekmask=mask(weekdays),
        holidays=sorted(closed),
    )
    assert add_business_days(day, count, OpenDays(weekdays, closed)) == theirs.item()


@given(DAYS, st.integers(0, 90), st.frozensets(st.integers(0, 6), min_size=1))
def test_count_is_that_of_numpy(first: date, days: int, weekdays: frozenset[int]) -> None:
    last = first + timedelta(days=days)
    theirs = np.busday_count(first, last, weekmask=mask(weekdays), holidays=sorted(WISCONSIN))
    assert business_days_between(first, last, OpenDays(weekdays, WISCONSIN)) == theirs
    assert business_days_between(last, first, OpenDays(weekdays, WISCONSIN)) == 0


def test_thanksgiving_and_a_closed_week() -> None:
    """Fourth Thursday of November, 5 U.S.C. 6103; the week before it the shop is closed."""
    days = OpenDays(closed=public_holidays("US", "", [2026]) | {date(2026, 11, day) for day in range(16, 21)})
    assert add_business_days(date(2026, 11, 13), 1, days) == date(2026, 11, 23)
    assert add_business_days(date(2026, 11, 25), 1, days) == date(2026, 11, 27)


def test_holidays_of_a_region_are_those_of_the_package() -> None:
    """Good Friday is a public holiday in Connecticut and not in Wisconsin (`holidays`)."""
    good_friday = date(2026, 4, 3)
    assert good_friday in holidays.country_holidays("US", subdiv="CT", years=2026)
    assert good_friday in public_holidays("US", "CT", [2026])
    assert good_friday not in public_holidays("US", "WI", [2026])
    assert public_holidays("", "", [2026]) == frozenset()
    assert public_holidays("XX", "", [2026]) == frozenset()
    assert public_holidays("US", "nowhere", [2026]) == public_holidays("US", "", [2026])


def test_a_shop_that_is_never_open_has_no_business_day() -> None:
    closed = frozenset(date(2026, 1, 1) + timedelta(days=n) for n in range(2000))
    with pytest.raises(OverflowError):
        add_business_days(date(2026, 1, 2), 1, OpenDays(closed=closed))


# The construction project of Hillier and Lieberman, Introduction to Operations Research, chapter 22 (from memory):
# weeks of each activity and what comes right before it. It takes 44 weeks.
TEXTBOOK = {
    "A": (2, ""),
    "B": (4, "A"),
    "C": (10, "B"),
    "D": (6, "C"),
    "E": (4, "C"),
    "F": (5, "E"),
    "G": (7, "D"),
    "H": (9, "EG"),
    "I": (7, "C"),
    "J": (8, "FI"),
    "K": (4, "J"),
    "L": (5, "J"),
    "M": (2, "H"),
    "N": (6, "KL"),
}
LATEST = dict(zip("ABCDEFGHIJKLMN", (0, 2, 6, 20, 16, 20, 26, 33, 18, 25, 34, 33, 42, 38), strict=True))


def test_latest_starts_of_the_textbook_network() -> None:
    found = latest_starts(
        [NetworkWork(key, Decimal(weeks), frozenset(after)) for key, (weeks, after) in TEXTBOOK.items()]
    )
    assert {key: 44 - left for key, left in found.items()} == LATEST


@given(
    st.lists(st.integers(1, 50), min_size=1, max_size=9),
    st.sets(st.tuples(st.integers(0, 8), st.integers(0, 8)).filter(lambda pair: pair[0] < pair[1])),
)
def test_latest_starts_are_the_longest_paths_of_networkx(hours: list[int], pairs: set[tuple[int, int]]) -> None:
    count = len(hours)
    arcs = [(one, other) for one, other in pairs if other < count]
    found = latest_starts(
        [
            NetworkWork(key, Decimal(hours[key]), frozenset(one for one, other in arcs if other == key))
            for key in range(count)
        ]
    )
    graph = nx.DiGraph()
    graph.add_weighted_edges_from([(one, other, hours[one]) for one, other in arcs])
    graph.add_weighted_edges_from([(key, "end", hours[key]) for key in range(count)])
    for key in range(count):
        longest = nx.dag_longest_path_length(graph.subgraph({key, *nx.descendants(graph, key)}))
        assert found[key] == longest


def test_works_that_wait_for_each_other_are_refused() -> None:
    with pytest.raises(CycleError):
        latest_starts([NetworkWork(1, Decimal(1), frozenset({2})), NetworkWork(2, Decimal(1), frozenset({1}))])


# Shared with the phone.
NEED_BY = json.loads((Path(__file__).parents[2] / "fixtures" / "parts" / "need_by.json").read_text("utf-8"))


@pytest.mark.parametrize("case", NEED_BY["works"], ids=lambda case: case["name"])
def test_what_needs_no_part_is_done_before(case: dict[str, Any]) -> None:
    works = [AcceptedWork(key, Decimal(str(hours)), waits) for key, hours, waits in case["works"]]
    assert hours_from(works) == {key: Decimal(str(hours)) for key, hours in case["from"].items()}


@pytest.mark.parametrize("case", NEED_BY["days"], ids=lambda case: case["promised"])
def test_the_last_day_to_order(case: dict[str, Any]) -> None:
    promised = date.fromisoformat(case["promised"])
    found = latest_order_day(promised, Decimal(case["hours"]), case["lead"], OpenDays())
    assert found.isoformat() == case["order_by"]


def test_hours_in_days() -> None:
    assert [in_days(Decimal(hours)) for hours in ("0", "0.25", "6", "6.01", "12")] == [0, 1, 1, 2, 2]
