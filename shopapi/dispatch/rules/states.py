"""The lives of a run, a stop and a planning, as data. Diagrams come from these tables.

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
    # A rig that breaks down ends its run where it stands.
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
    # What failed stays as it was; what is to be tried again is a stop of its own.
    "failed": (),
    # Whoever was there all the same has been there.
    "dropped": ("asked", "arrived", "left", "failed"),
}

# A stamp pressed by mistake is taken back at once. Apart from the lives above: a stamp that comes late must not undo
# the one after it.
TAKEN_BACK: Mapping[str, StopState] = {"arrived": "planned", "left": "arrived", "failed": "planned"}

PLAN_TRANSITIONS: Mapping[str, tuple[PlanState, ...]] = {
    "waiting": ("running", "cancelled", "failed"),
    "running": ("done", "failed", "cancelled"),
    "done": (),
    "failed": (),
    "cancelled": (),
}

# Where a stop still waits for somebody to go there.
OPEN_STOPS: tuple[StopState, ...] = ("asked", "planned", "driving")
# Where somebody has been, with or without success.
BEEN: tuple[StopState, ...] = ("arrived", "left", "failed")
# A run that may still be changed by a plan.
LIVE_RUNS: tuple[RunState, ...] = ("planned", "locked", "driving")


def run_may_become(state: str, then: RunState) -> bool:
    return then in RUN_TRANSITIONS[state]


def stop_may_become(state: str, then: StopState) -> bool:
    return then in STOP_TRANSITIONS[state]


def plan_may_become(state: str, then: PlanState) -> bool:
    return then in PLAN_TRANSITIONS[state]
