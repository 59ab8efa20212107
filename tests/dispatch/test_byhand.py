"""The vectors that the phone's check by hand runs as well: `pwa/src/domain/dispatch/routeCheck.test.ts`.

What is expected was calculated by hand but for the times home, which are those of this side.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from shopapi.planner.check import Schedule, Violation, check_route
from shopapi.planner.geodesics import Position
from shopapi.planner.loading.deck import Deck, Piece
from shopapi.planner.loading.tie_downs import TieDown
from shopapi.planner.problem import Problem, RigDay, Route, StopTask, TimeWindow
from shopapi.planner.travel import NamedPosition, TravelProfile, estimate_matrix

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "dispatch" / "byhand.json").read_text())


def a_piece(figures: list[int] | None) -> Piece | None:
    return None if figures is None else Piece(*figures)


def a_task(stop: dict[str, Any], place: int) -> StopTask:
    load = () if stop["kind"] == "visit" else (*(stop["piece"] or (0, 0))[:2], 1)
    return StopTask(
        stop["key"],
        place,
        brings=load if stop["kind"] == "return" else (),
        takes=load if stop["kind"] == "pickup" else (),
        windows=tuple(TimeWindow(*each) for each in stop["windows"]) or (TimeWindow(),),
        service=60 * stop["minutes"],
        needs=frozenset(stop["needs"]),
        only_rigs=None if stop["rig"] is None else frozenset({stop["rig"]}),
        follows=stop["after"],
        piece=a_piece(stop["piece"]),
    )


def checked(case: dict[str, Any]) -> Schedule | Violation:
    values = VECTORS["rig"] | case.get("rig", {})
    begun = case.get("from")
    stops = [stop for trip in case["trips"] for stop in trip]
    places = [NamedPosition("The yard", Position(*VECTORS["yard"]))]
    places += [NamedPosition(stop["key"], Position(stop["lat"], stop["lon"])) for stop in stops]
    aboard = begun["aboard"] if begun else []
    if begun:
        places.append(NamedPosition("here", Position(begun["lat"], begun["lon"])))
    keys = {stop["key"] for stop in stops}
    gone = [(key, Piece(*piece)) for key, piece in aboard if key not in keys]
    length, width, lanes = values["deck"]
    carried = sum(piece.kg for _, piece in gone), sum(piece.length_cm for _, piece in gone), len(gone)
    rig = RigDay(
        "rig",
        (values["payload_kg"], length * lanes, values["slots"]),
        TimeWindow(begun["at"] if begun else values["shift"][0], values["shift"][1]),
        has=frozenset(values["has"]),
        start=len(places) - 1 if begun else None,
        aboard=tuple(key for key, _ in aboard),
        on_deck=tuple(gone),
        carries=carried if gone else (),
        roads=0 if values["tows"] else 1,
        deck=Deck(length, width, lanes, 15),
        straps=values["straps"],
        strap=None if values["strap_counts"] is None else TieDown((values["strap_counts"],), crosses=True),
    )
    roads = (estimate_matrix(TravelProfile(), places, trailer=True), estimate_matrix(TravelProfile(), places))
    tasks = tuple(a_task(stop, at + 1) for at, stop in enumerate(stops))
    least = case.get("least_tie_downs", VECTORS["least_tie_downs"])
    problem = Problem(roads, (rig,), tasks, loading=60 * VECTORS["loading_minutes"], least_tie_downs=least)
    return check_route(problem, Route("rig", tuple(tuple(stop["key"] for stop in trip) for trip in case["trips"])))


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["name"])
def test_the_order_is_judged_as_the_vector_says(case: dict[str, Any]) -> None:
    found, expected = checked(case), case["expect"]
    if isinstance(found, Schedule):
        assert expected["code"] is None
        assert (found.leaves, found.home) == (expected["leaves"], expected["home"])
    else:
        assert (found.code, found.stop) == (expected["code"], expected["stop"])
        if found.code == "straps":
            assert int(found.facts["needed"]) - int(found.facts["there"]) == expected["over"]
