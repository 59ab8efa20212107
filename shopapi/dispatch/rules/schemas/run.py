"""The wire schemas of runs: cautions, ratings, decks and drives. Kilograms, metres and seconds."""

from datetime import date
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import Moment, Row, Schema
from shopapi.dispatch.rules.states import RunState


class NewRun(Schema):
    """A run made by hand: a rig on a day, no stops on it yet."""

    id: UUID
    rig_id: UUID
    day: date


class RunStamp(Schema):
    """`at` is what the device's clock said; `clock_id`: the travel clock that begins, or ends."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


class CautionRow(Schema):
    """Something to look at before driving, in words; `stop_id` where it is about one."""

    code: str
    words: str
    stop_id: UUID | None = None


class MarginRow(Schema):
    """What is left to one rating on one leg (0: as it leaves the yard); below zero it is passed."""

    trip: int
    leg: int
    rating: str
    limit_kg: int
    load_kg: int
    left_kg: int


class DeckRow(Schema):
    """The deck on one leg, drawn to scale. Figures are None where the trailer's were not entered.

    `tie_downs`: as many as it takes; `tie_downs_there`: as many as the rig carries.
    """

    trip: int
    leg: int
    words: str
    svg: str
    gross_kg: int | None
    tongue_kg: int | None
    tongue_permille: int | None
    tie_downs: int
    tie_downs_there: int | None = None


class LegRow(Schema):
    """One drive of a run: to a stop, or home where `stop_id` is None. Four drives in five take `low` to `high`."""

    trip: int
    leg: int
    stop_id: UUID | None
    metres: int
    seconds: int
    low_seconds: int
    high_seconds: int


class RunRow(Row):
    """A run as devices see it. `margins` hold the smallest of each leg; `plan_id` is the planning that made it.

    `legs`: its drives in order, as they were figured last; those that are over by then are not in it.
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
