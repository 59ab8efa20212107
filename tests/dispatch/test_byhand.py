"""The vectors that the phone's check by hand runs as well: `pwa/src/domain/byhand.test.ts`.

What is expected was reckoned by hand but for the times home, which are those of this side.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from shopapi.dispatch.rules.check import Broken, Timed, check_route
from shopapi.dispatch.rules.deck import Deck, Piece
from shopapi.dispatch.rules.problem import Problem, Rig, Route, StopTask, Window
from shopapi.dispatch.rules.travel import Habits, Place, Position, estimated_roads

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "dispatch" / "byhand.json").read_text())


def a_piece(figures: list[int] | None) -> Piece | None:
    return None if figures is None else Piece(*figures)


def a_task(stop: dict[str, Any], place: int) -> StopTask:
    load = (*stop["piece"][:2], 1) if stop["piece"] else ()
    return StopTask(
        stop["key"],
        place,
        brings=load if stop["kind"] == "return" else (),
        takes=load if stop["kind"] == "pickup" else (),
        windows=tuple(Window(*each) for each in stop["windows"]) or (Window(),),
        service=60 * stop["minutes"],
        needs=frozenset(stop["needs"]),
        only_rigs=None if stop["rig"] is None else frozenset({stop["rig"]}),
        follows=stop["after"],
        piece=a_piece(stop["piece"]),
    )


def checked(case: dict[str, Any]) -> Timed | Broken:
    told = VECTORS["rig"] | case.get("rig", {})
    begun = case.get("from")
    stops = [stop for trip in case["trips"] for stop in trip]
    places = [Place("The yard", Position(*VECTORS["yard"]))]
    places += [Place(stop["key"], Position(stop["lat"], stop["lon"])) for stop in stops]
    aboard = begun["aboard"] if begun else []
    if begun:
        places.append(Place("here", Position(begun["lat"], begun["lon"])))
    keys = {stop["key"] for stop in stops}
    gone = [(key, Piece(*piece)) for key, piece in aboard if key not in keys]
    length, width, lanes = told["deck"]
    carried = sum(piece.kg for _, piece in gone), sum(piece.length_cm for _, piece in gone), len(gone)
    rig = Rig(
        "rig",
        (told["payload_kg"], length * lanes, told["slots"]),
        Window(begun["at"] if begun else told["shift"][0], told["shift"][1]),
        has=frozenset(told["has"]),
        start=len(places) - 1 if begun else None,
        aboard=tuple(key for key, _ in aboard),
        on_deck=tuple(gone),
        carries=carried if gone else (),
        deck=Deck(length, width, lanes, 15),
    )
    roads = estimated_roads(Habits(), places, trailer=True)
    tasks = tuple(a_task(stop, at + 1) for at, stop in enumerate(stops))
    problem = Problem((roads,), (rig,), tasks, loading=60 * VECTORS["loading_minutes"])
    return check_route(problem, Route("rig", tuple(tuple(stop["key"] for stop in trip) for trip in case["trips"])))


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["name"])
def test_the_order_is_judged_as_the_vector_says(case: dict[str, Any]) -> None:
    found, expected = checked(case), case["expect"]
    if isinstance(found, Timed):
        assert expected["code"] is None
        assert (found.leaves, found.home) == (expected["leaves"], expected["home"])
    else:
        assert (found.code, found.stop) == (expected["code"], expected["stop"])
