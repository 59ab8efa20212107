"""State transitions of runs, stops and plan requests. Diagrams are generated from these tables.

The phone reads the tables from the contract that is generated from here (`pwa/src/domain/contract.ts`).
"""

from collections.abc import Mapping
from typing import Literal

from typing_extensions import TypeAliasType

RunState = TypeAliasType("RunState", Literal["planned", "locked", "driving", "done", "cancelled"])
StopState = TypeAliasType("StopState", Literal["asked", "planned", "driving", "arrived", "left", "failed", "dropped"])
PlanState = TypeAliasType("PlanState", Literal["waiting", "running", "done", "failed", "cancelled"])

RUN_TRANSITIONS: Mapping[str, tuple[RunState, ...]] = {
    "planned": ("locked", "driving", "cancelled"),
    "locked": ("planned", "driving", "cancelled"),
    # A breakdown ends the run of the rig.
    "driving": ("done",),
    "done": (),
    "cancelled": (),
}

STOP_TRANSITIONS: Mapping[str, tuple[StopState, ...]] = {
    "asked": ("planned", "driving", "arrived", "left", "failed", "dropped"),
    "planned": ("asked", "driving", "arrived", "left", "failed", "dropped"),
    "driving": ("asked", "planned", "arrived", "left", "failed"),
    "arrived": ("left", "failed"),
    "left": (),
    # A failed stop stays failed; trying again is a new stop.
    "failed": (),
    # A driver without signal may have been there although the stop was taken out meanwhile.
    "dropped": ("asked", "arrived", "left", "failed"),
}

# Undoing a stamp pressed by mistake. Separate from the tables above, where a late stamp must not undo the one after
# it.
TAKEN_BACK: Mapping[str, StopState] = {"arrived": "planned", "left": "arrived", "failed": "planned"}

PLAN_TRANSITIONS: Mapping[str, tuple[PlanState, ...]] = {
    "waiting": ("running", "cancelled", "failed"),
    "running": ("done", "failed", "cancelled"),
    "done": (),
    "failed": (),
    "cancelled": (),
}

# Stops that nobody has been to yet.
OPEN_STOPS: tuple[StopState, ...] = ("asked", "planned", "driving")
# Stops that somebody has been to, with or without success.
BEEN: tuple[StopState, ...] = ("arrived", "left", "failed")
# Runs that a plan may still change.
LIVE_RUNS: tuple[RunState, ...] = ("planned", "locked", "driving")


def run_may_become(state: str, then: RunState) -> bool:
    return then in RUN_TRANSITIONS[state]


def stop_may_become(state: str, then: StopState) -> bool:
    return then in STOP_TRANSITIONS[state]


def plan_may_become(state: str, then: PlanState) -> bool:
    return then in PLAN_TRANSITIONS[state]
