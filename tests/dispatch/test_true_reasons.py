"""Each reason why a stop is left out is true: recomputed on random days by code that is independent of the check.

The rules are written again here in a few lines each, for decks of one lane, and every place where a stop could be put
is tried. A reason must be one of the failures found so, with the same figures, on the rig that it names.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopapi.core.rendering import render
from shopapi.dispatch.rules.left_out import rule_reason
from shopapi.planner.loading.deck import Deck, Piece
from shopapi.planner.problem import LeftOut, Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix
from shopapi.planner.solver import Budget, solve

GAP = 15
HOUR = 3600
Trips = tuple[tuple[str, ...], ...]


class Failure(NamedTuple):
    """A rule that is not kept: the stop where it shows, and the figures that a reason may state."""

    code: str
    stop: str
    figures: dict[str, object]


def first_failure(day: Problem, rig: RigDay, trips: Trips) -> Failure | None:
    """The first rule that a rig's day breaks: equipment, weights, deck, tie-downs, times."""
    stops = {stop.key: stop for stop in day.stops}
    made: list[str] = []
    for trip in trips:
        for key in trip:
            if wrong := _not_for(rig, stops[key], made):
                return wrong
            made.append(key)
        if wrong := _too_much(rig, [stops[key] for key in trip]):
            return wrong
    loaded = [[stops[key] for key in trip] for trip in trips]
    decks = next((wrong for trip in loaded if (wrong := _on_the_deck(rig, trip))), None)
    tied = next((wrong for trip in loaded if (wrong := _tied(day, rig, trip))), None)
    return decks or tied or _in_time(day, rig, trips, stops)


def _not_for(rig: RigDay, stop: StopTask, made: Sequence[str]) -> Failure | None:
    if stop.needs - rig.has:
        return Failure("access", stop.key, {})
    if stop.only_rigs is not None and rig.key not in stop.only_rigs:
        return Failure("pinned", stop.key, {})
    if stop.follows is not None and stop.follows not in made:
        return Failure("order", stop.key, {"after": stop.follows})
    return None


def _too_much(rig: RigDay, trip: Sequence[StopTask]) -> Failure | None:
    for dimension, most in enumerate(rig.capacity):
        aboard = sum(stop.brings[dimension] for stop in trip if stop.brings)
        heaviest = max(trip, key=lambda stop: stop.brings[dimension] if stop.brings else 0)
        if aboard > most:
            return Failure("load", heaviest.key, {"dimension": dimension, "load": aboard, "most": most})
        for stop in trip:
            aboard += (stop.takes[dimension] if stop.takes else 0) - (stop.brings[dimension] if stop.brings else 0)
            if aboard > most:
                return Failure("load", stop.key, {"dimension": dimension, "load": aboard, "most": most})
    return None


def _on_the_deck(rig: RigDay, trip: Sequence[StopTask]) -> Failure | None:
    """One lane is a stack: the last machine on it is the first that can come off."""
    if rig.deck is None:
        return None
    pieces = [(stop, stop.piece) for stop in trip if stop.piece is not None]
    if wide := next((stop for stop, piece in pieces if piece.width_cm > rig.deck.width_cm), None):
        return Failure("deck_space", wide.key, {})
    stack = [(stop, piece) for stop, piece in reversed(pieces) if stop.brings]
    if _length(stack) > rig.deck.length_cm:
        return Failure("deck_space", "", {})
    for stop, piece in pieces:
        if stop.brings:
            if stack[-1][0].key != stop.key:
                return Failure("deck_order", stop.key, {})
            stack.pop()
            continue
        stack.append((stop, piece))
        if _length(stack) > rig.deck.length_cm:
            return Failure("deck_space", stop.key, {})
    return None


def _length(stack: Sequence[tuple[StopTask, Piece]]) -> int:
    return sum(int(piece.length_cm) for _, piece in stack) + GAP * max(0, len(stack) - 1)


def _tied(day: Problem, rig: RigDay, trip: Sequence[StopTask]) -> Failure | None:
    """Every machine here is under ten feet and 10,000 lb: the shop's own least is what counts."""
    if rig.straps is None:
        return None
    aboard = sum(1 for stop in trip if stop.brings)
    for change in (0, *(-1 if stop.brings else 1 if stop.takes else 0 for stop in trip)):
        aboard += change
        if aboard * day.least_tie_downs > rig.straps:
            return Failure("straps", "", {"needed": aboard * day.least_tie_downs, "there": rig.straps})
    return None


def _in_time(day: Problem, rig: RigDay, trips: Trips, stops: dict[str, StopTask]) -> Failure | None:
    """With the earliest departure, since a later one is never earlier anywhere."""
    now, here = rig.shift.opens, 0
    seconds = day.roads[rig.roads].seconds
    for trip in trips:
        now += day.loading
        for key in trip:
            stop = stops[key]
            now += seconds[here][stop.place]
            here = stop.place
            last = max(window.closes for window in stop.windows)
            if now > last:
                home = now + stop.service + seconds[here][0]
                if last >= rig.shift.closes:
                    return Failure("shift", key, {"late": home - rig.shift.closes})
                return Failure("window", key, {"late": now - last})
            now = min(max(now, window.opens) for window in stop.windows if now <= window.closes) + stop.service
        now += seconds[here][0]
        here = 0
    if now > rig.shift.closes:
        return Failure("shift", trips[-1][-1], {"late": now - rig.shift.closes})
    return None


def places(rig: RigDay, trips: Trips, key: str) -> Iterator[Trips]:
    """Every way to put one more stop into a day."""
    for number, trip in enumerate(trips):
        for at in range(len(trip) + 1):
            yield (*trips[:number], (*trip[:at], key, *trip[at:]), *trips[number + 1 :])
    for number in range(len(trips) + 1) if rig.reload or not trips else ():
        yield (*trips[:number], (key,), *trips[number:])


def check_reason(day: Problem, routes: Sequence[Route], left: LeftOut) -> None:
    stop = day.by_key[left.stop]
    figures: dict[str, Any] = {
        name: left.facts[name]
        for name in ("dimension", "load", "most", "late", "needed", "there")
        if name in left.facts
    }
    if "alone" in left.facts:
        _check_alone(day, stop, left, figures)
        return
    trips = {route.rig: tuple(trip for trip in route.trips if trip) for route in routes}
    failures = [
        (rig.key, first_failure(day, rig, tried))
        for rig in day.rigs
        for tried in places(rig, trips.get(rig.key, ()), stop.key)
    ]
    if left.code == "not_worth_it":
        assert not stop.required
        assert any(failure is None for _, failure in failures)
        return
    assert failures
    assert all(failure is not None for _, failure in failures), f"{left} but it fits"
    rig, other = left.facts["rig"], left.facts.get("other", stop.key)
    matching = [failure for key, failure in failures if failure and key == rig and failure.code == left.code]
    if left.code in ("window", "shift"):
        # Where it comes closest: nobody misses by less.
        late: list[Any] = [failure.figures["late"] for _, failure in failures if failure and "late" in failure.figures]
        assert left.facts["late"] == min(late, key=float)
        matching = [one for one in matching if one.stop == other or one.code == "shift"]
    assert any(figures.items() <= one.figures.items() for one in matching), (left, matching)


def _check_alone(day: Problem, stop: StopTask, left: LeftOut, figures: dict[str, Any]) -> None:
    free = replace(day, stops=tuple(replace(one, follows=None) for one in day.stops))
    rigs = [rig for rig in day.rigs if stop.only_rigs is None or rig.key in stop.only_rigs]
    failures = {rig.key: first_failure(free, rig, ((stop.key,),)) for rig in rigs}
    assert all(failure is not None for failure in failures.values()), f"{left} but it fits"
    if left.code == "pinned":
        assert not rigs
        return
    named = failures[str(left.facts["rig"])]
    assert named is not None
    assert named.code == left.code
    assert figures.items() <= named.figures.items()
    alike: list[dict[str, Any]] = [
        dict(failure.figures) for failure in failures.values() if failure and failure.code == left.code
    ]
    if left.code == "access":
        assert stop.only_rigs is not None or all(failure and failure.code == "access" for failure in failures.values())
    if left.code == "load":
        # The rig that could carry most of it is named.
        best = min(float(one["load"]) / float(one["most"]) for one in alike)
        assert float(figures["load"]) / float(figures["most"]) == pytest.approx(best)
    for figure in ("late", "needed"):
        if figure in figures and left.code != "load":
            assert figures[figure] == min(float(one[figure]) for one in alike)


@st.composite
def days(draw: st.DrawFn) -> Problem:
    count = draw(st.integers(2, 6))
    seconds = [[0] * (count + 1) for _ in range(count + 1)]
    points = [draw(st.tuples(st.integers(0, 30), st.integers(0, 30))) for _ in range(count + 1)]
    for one, (x, y) in enumerate(points):
        for other, (u, v) in enumerate(points):
            seconds[one][other] = 60 * (abs(x - u) + abs(y - v))
    table = tuple(map(tuple, seconds))
    rigs = tuple(
        RigDay(
            key=f"rig {number}",
            capacity=(draw(st.sampled_from([900, 1200])), draw(st.sampled_from([300, 500])), draw(st.integers(1, 3))),
            shift=TimeWindow(7 * HOUR, draw(st.sampled_from([9, 11, 14])) * HOUR),
            reload=draw(st.booleans()),
            has=frozenset({"winch"} if draw(st.booleans()) else set()),
            deck=Deck(draw(st.sampled_from([300, 500])), draw(st.sampled_from([120, 200])), 1, GAP),
            straps=draw(st.sampled_from([None, 4, 8])),
        )
        for number in range(draw(st.integers(1, 2)))
    )
    stops = []
    for number in range(count):
        kg, length = draw(st.sampled_from([300, 300, 700, 1500])), draw(st.sampled_from([150, 150, 250, 400]))
        width = draw(st.sampled_from([100, 100, 100, 150, 250]))
        kind = draw(st.sampled_from(["pickup", "return", "visit"]))
        opens = draw(st.integers(7, 16)) * HOUR
        windows = draw(
            st.sampled_from(
                [(TimeWindow(0, 24 * HOUR - 1),), (TimeWindow(opens, opens + HOUR),), (TimeWindow(opens, opens),)]
            )
        )
        stops.append(
            StopTask(
                key=f"stop {number}",
                place=number + 1,
                brings=(kg, length, 1) if kind == "return" else (),
                takes=(kg, length, 1) if kind == "pickup" else (),
                windows=windows,
                service=draw(st.sampled_from([10, 60, 110])) * 60,
                required=draw(st.integers(0, 3)) > 0,
                prize=draw(st.sampled_from([0, 5_000, 200_000])),
                needs=frozenset({"winch"} if draw(st.integers(0, 9)) == 0 else set()),
                only_rigs=draw(st.sampled_from([*[None] * 8, frozenset({"rig 0"}), frozenset({"rig 9"})])),
                follows=f"stop {number - 1}" if number and draw(st.integers(0, 6)) == 0 else None,
                piece=None if kind == "visit" else Piece(kg, length, width),
            )
        )
    least = draw(st.sampled_from([2, 4]))
    return Problem((TravelMatrix(table, table),), rigs, tuple(stops), loading=600, least_tie_downs=least)


@given(days())
@settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))
def test_every_reason_is_true(day: Problem) -> None:
    plan = solve(day, Budget(rounds=20), clock=lambda: 0.0)
    for route in plan.routes:
        rig = day.rig_by_key[route.rig]
        assert first_failure(day, rig, tuple(trip for trip in route.trips if trip)) is None
    for left in plan.left_out:
        words = render(rule_reason(left.code, left.facts, {}, pounds=False))
        assert words
        assert "{" not in words
        # A stop without windows is never reported as closed.
        if left.code == "window" and "other" not in left.facts:
            assert max(window.closes for window in day.by_key[left.stop].windows) < 24 * HOUR - 1
        check_reason(day, plan.routes, left)


def small_day(rigs: Sequence[RigDay], *stops: StopTask) -> Problem:
    table = tuple(
        tuple(0 if one == other else 1800 for other in range(len(stops) + 1)) for one in range(len(stops) + 1)
    )
    return Problem((TravelMatrix(table, table),), tuple(rigs), tuple(stops))


def words_for(day: Problem, key: str, *, pounds: bool = False) -> str:
    plan = solve(day, Budget(rounds=20), clock=lambda: 0.0)
    names = {rig.key: rig.key.title() for rig in day.rigs} | {stop.key: stop.key.title() for stop in day.stops}
    (left,) = [one for one in plan.left_out if one.stop == key]
    return render(rule_reason(left.code, left.facts, names, pounds=pounds))


ALL_DAY = TimeWindow(0, 24 * HOUR - 1)
SHIFT = TimeWindow(7 * HOUR, 11 * HOUR)


def test_too_heavy_is_said_of_the_rig_that_carries_most() -> None:
    rigs = [RigDay(f"rig {most}", (most, 10**7, 3), SHIFT) for most in (900, 1200)]
    day = small_day(rigs, StopTask("stop", 1, takes=(1500, 0, 1)))
    assert words_for(day, "stop") == "It weighs 1,500 kg; the payload of Rig 1200 is 1,200 kg."
    assert words_for(day, "stop", pounds=True) == "It weighs 3,307 lb; the payload of Rig 1200 is 2,646 lb."


def test_a_full_day_is_said_to_be_full_and_not_the_stop_to_be_shut() -> None:
    visits = [StopTask(f"visit {number}", number, windows=(ALL_DAY,), service=3600) for number in (1, 2)]
    appointed = StopTask("appointment", 3, windows=(TimeWindow(9 * HOUR, 9 * HOUR),), service=600)
    day = small_day([RigDay("rig", (0, 0, 0), SHIFT)], *visits, appointed)
    plan = solve(day, Budget(rounds=20), clock=lambda: 0.0)
    (left,) = plan.left_out
    words = words_for(day, left.stop)
    assert left.stop.startswith("visit")
    # Before the appointment it is in its way by an hour and a half; after it the day ends ten minutes too soon.
    assert words == "With this stop, Rig would be back 10 min after the end of its day."


def test_too_wide_by_itself_is_not_blamed_on_the_others() -> None:
    rig = RigDay("rig", (5000, 1000, 3), SHIFT, deck=Deck(500, 200, 1, GAP))
    wide = StopTask("stop", 1, takes=(300, 180, 1), piece=Piece(300, 180, 230))
    assert words_for(small_day([rig], wide), "stop") == "It is too long or too wide for the deck of Rig."


def test_a_pinned_stop_is_judged_by_its_rig_alone() -> None:
    rigs = [RigDay("rig a", (900, 10**7, 3), SHIFT), RigDay("rig b", (2000, 10**7, 3), SHIFT, has=frozenset({"winch"}))]
    pinned = frozenset({"rig a"})
    heavy = small_day(rigs, StopTask("stop", 1, takes=(1500, 0, 1), only_rigs=pinned))
    assert words_for(heavy, "stop") == "It weighs 1,500 kg; the payload of Rig A is 900 kg."
    winched = small_day(rigs, StopTask("stop", 1, needs=frozenset({"winch"}), only_rigs=pinned))
    assert words_for(winched, "stop") == "It is pinned to Rig A, which does not have all that this stop needs: winch."
