"""The wire schemas of plan requests and their answers. Metres and seconds."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AliasChoices, AwareDatetime, BeforeValidator, Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import ReasonRow, Row, Schema
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow, ExclusionCode, LegRow, MarginRow, RuleCode
from shopapi.dispatch.rules.states import PlanState

PlanCause = TypeAliasType("PlanCause", Literal["asked", "no_show", "breakdown", "urgent"])
RoadSource = TypeAliasType("RoadSource", Literal["rule", "service", "fallback"])


class NewPlan(Schema):
    """Ask for a plan of one day or several. `from_now`: begin where the rigs are, keep arrivals promised to customers.

    A driver can ask for the rest of today only, for their own run.
    With `rounds` the search ends after so many rounds and not by time, so the same seed gives the same plan.
    """

    id: UUID
    days: Annotated[list[date], Field(min_length=1, max_length=7)]
    seed: Annotated[int, Field(ge=0, le=2**31 - 1)] = 0
    seconds: Annotated[int, Field(ge=1, le=60)] = 5
    rounds: Annotated[int, Field(ge=1, le=100_000)] | None = None
    from_now: bool = False


class PlannedStop(Schema):
    stop_id: UUID
    trip: int
    position: int
    arrives_from: AwareDatetime
    arrives_at: AwareDatetime
    arrives_to: AwareDatetime
    starts_at: AwareDatetime
    leaves_at: AwareDatetime


class PlannedRun(Schema):
    """One planned run. `run_id`: an existing run, or the id of the new one."""

    run_id: UUID
    rig_id: UUID
    day: date
    leaves_at: AwareDatetime
    home_at: AwareDatetime
    metres: int
    drive_seconds: int
    stops: list[PlannedStop]
    cautions: list[CautionRow]
    margins: list[MarginRow]
    decks: list[DeckRow]
    legs: list[LegRow] = []


class ChangedRun(Schema):
    """A run whose stops or order the plan changes, and its driver."""

    run_id: UUID
    rig_id: UUID
    day: date
    driver_id: UUID | None


SearchCode = Literal["no_rig", "no_rig_free", "no_time", "not_worth_it"]
LeftOutCode = TypeAliasType("LeftOutCode", Literal[RuleCode, ExclusionCode, SearchCode])
RemarkCode = TypeAliasType("RemarkCode", Literal["own_day", "roads_unusable", "roads_missing", "earlier"])


class LeftOutRow(ReasonRow):
    """A stop that no run serves, and the rule that fails for the rig that comes closest."""

    code: LeftOutCode
    stop_id: UUID


class RemarkRow(ReasonRow):
    """A remark about a whole plan. "earlier": stored before remarks had codes."""

    code: RemarkCode


def _remark_of_words(stored: object) -> object:
    return {"code": "earlier", "words": stored} if isinstance(stored, str) else stored


class PlanAnswer(Schema):
    """A plan that has passed the check. `proven`: no better one exists. `roads`: the source of the travel times.

    `touches`: each run that it changes. A driver may accept the plan if all of these are their own.
    """

    runs: list[PlannedRun]
    left_out: list[LeftOutRow]
    metres: int
    proven: bool
    complete: bool
    roads: RoadSource
    remarks: Annotated[
        list[Annotated[RemarkRow, BeforeValidator(_remark_of_words)]],
        Field(validation_alias=AliasChoices("remarks", "words")),
    ]
    touches: list[ChangedRun] = []


class PlanRequestRow(Row):
    """A plan request: `permille` done, then its answer or why there is none. `taken_at`: accepted and made into runs.

    `driver_id`: only this member's run was planned; all others are unchanged.
    """

    asked_by_id: UUID | None
    driver_id: UUID | None
    days: list[date]
    seed: int
    seconds: int
    rounds: int | None
    from_now: bool
    cause: PlanCause
    state: PlanState
    permille: int
    answer: PlanAnswer | None
    error: str
    taken_at: AwareDatetime | None
