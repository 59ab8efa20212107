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
    """Plan one day or several. `from_now`: begin where the rigs are, keep arrivals promised to customers.

    A driver asks for today from now on, and for their own run.

    With `rounds` the search ends after so many and not by the clock: the same seed then gives the same plan.
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
    """One run as it would be. `run_id`: a run that is there already, or the id that it gets."""

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
    """A run whose stops or their order a plan changes, and who drives it."""

    run_id: UUID
    rig_id: UUID
    day: date
    driver_id: UUID | None


SearchCode = Literal["no_rig", "no_rig_free", "no_time", "not_worth_it"]
LeftOutCode = TypeAliasType("LeftOutCode", Literal[RuleCode, ExclusionCode, SearchCode])
RemarkCode = TypeAliasType("RemarkCode", Literal["own_day", "roads_unusable", "roads_missing", "earlier"])


class LeftOutRow(ReasonRow):
    """A stop that no run serves: the rule that fails where it comes closest."""

    code: LeftOutCode
    stop_id: UUID


class RemarkRow(ReasonRow):
    """What to say of a plan as a whole. "earlier": written when its words alone were kept."""

    code: RemarkCode


def _remark_of_words(stored: object) -> object:
    return {"code": "earlier", "words": stored} if isinstance(stored, str) else stored


class PlanAnswer(Schema):
    """A plan that has passed the check. `proven`: no better one exists. `roads`: whence the travel times come.

    `touches`: each run that it changes. Whoever may only plan their own day takes it when all of them are theirs.
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
    """A planning as it goes: `permille` done, then its answer or why there is none. `taken_at`: made into runs.

    `driver_id`: only this member's run was planned, all others kept as they are.
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
