"""The wire schemas of runs: cautions, ratings, decks and drives. Kilograms, metres and seconds."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AliasChoices, AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Moment, ReasonRow, Row, Schema
from shopapi.dispatch.rules.states import RunState


class NewRun(Schema):
    """A run made by hand: a rig on a day, without stops yet."""

    id: UUID
    rig_id: UUID
    day: date


class RunStamp(Schema):
    """`at` is by the device's clock; `clock_id`: the travel clock that starts or stops."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


# Why a stop is excluded before the search.
ExclusionCode = Literal[
    "job_not_ready",
    "rig_out",
    "position_missing",
    "position_far",
    "pinned_elsewhere",
    "too_early",
    "other_day",
    "times_over",
    "daylight",
    "no_window",
]
# The rule of the planner that a run with this stop breaks.
RuleCode = Literal[
    "access",
    "aboard_first",
    "barred",
    "break",
    "daylight",
    "deck_order",
    "deck_space",
    "load",
    "longest",
    "not_aboard",
    "on_another_rig",
    "one_trip_only",
    "order",
    "pinned",
    "rating",
    "rig_unknown",
    "shift",
    "stop_unknown",
    "straps",
    "tongue",
    "window",
]
LoadCautionCode = Literal[
    "rating_passed",
    "rating_near",
    "tongue_lifts",
    "tongue_light",
    "tongue_heavy",
    "side_offset",
    "ramp_steep",
    "belly_low",
    "tie_downs",
    "tie_downs_few",
    "tie_downs_unknown",
    "tie_downs_hold",
    "tie_downs_weak",
]
# Why a run made by hand could not be computed; "invalid": for any other refusal.
RefusalCode = Literal["yard_missing", "rig_missing", "position", "invalid"]
RunCode = Literal[
    "still_aboard",
    "tight",
    "check_again",
    "size_unknown",
    "trailer_unknown",
    "moved_by_hand",
    "place_moved",
    "position_rough",
]
CautionCode = TypeAliasType("CautionCode", Literal[RunCode, LoadCautionCode, RuleCode, ExclusionCode, RefusalCode])

RatingName = Literal[
    "trailer_gvwr",
    "trailer_axle",
    "tires",
    "coupler",
    "truck_gvwr",
    "gcwr",
    "hitch",
    "hitch_tongue",
    "ball",
    "truck_rear_axle",
]


class CautionRow(ReasonRow):
    """Something to check before driving; `stop_id` where it is about a stop."""

    code: CautionCode
    stop_id: UUID | None = None


class MarginRow(ReasonRow):
    """What is left to one rating on one leg (0: leaving the yard); below zero the rating is exceeded.

    `words` name the rating. "earlier": stored before ratings had codes.
    """

    code: RatingName | Literal["earlier"] = "earlier"
    words: Annotated[str, Field(validation_alias=AliasChoices("words", "rating"))] = ""
    trip: int
    leg: int
    limit_kg: int
    load_kg: int
    left_kg: int


class DeckRow(ReasonRow):
    """The deck on one leg, drawn to scale. Figures are None where the trailer's were not entered.

    `words` say what is on it. `tie_downs`: how many are needed; `tie_downs_there`: how many the rig carries.
    """

    code: Literal["deck"] = "deck"
    trip: int
    leg: int
    svg: str
    gross_kg: int | None
    tongue_kg: int | None
    tongue_permille: int | None
    tie_downs: int
    tie_downs_there: int | None = None


class LegRow(Schema):
    """One drive of a run: to a stop, or home where `stop_id` is None. `low` to `high`: its 80 % interval."""

    trip: int
    leg: int
    stop_id: UUID | None
    metres: int
    seconds: int
    low_seconds: int
    high_seconds: int


class RunRow(Row):
    """A run as synced to devices. `margins`: the smallest of each leg; `plan_id`: the plan request that made it.

    `legs`: its drives in order, as last computed; drives that were over by then are not included.
    """

    rig_id: UUID
    driver_id: UUID | None
    day: date
    state: RunState
    leaves_at: AwareDatetime | None
    home_at: AwareDatetime | None
    started_at: AwareDatetime | None
    ended_at: AwareDatetime | None
    metres: int | None
    drive_seconds: int | None
    cautions: list[CautionRow]
    margins: list[MarginRow]
    decks: list[DeckRow]
    legs: list[LegRow]
    plan_id: UUID | None
