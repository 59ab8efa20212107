"""Taking apart: the schemas of what was taken off a machine or loosened, in the order in which that was done.

A step is *loosened* where nothing came off, and *back* once `back_at` says when. `behind_id` is the step that has to
come off before this one can be reached.
"""

from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.bench.rules.fasteners import FastenerFields, MoveFields
from shopapi.core.enums import TextEnum
from shopapi.core.schema import Label, Moment, Row, Schema


class RemovalKind(TextEnum):
    """What a step is about, as far as the order of putting back asks.

    FILL, BLEED, INTERLOCK_TEST and RUN_TEST are work to do on the way back; nothing comes off for them.
    """

    PART = "part"
    COVER = "cover"
    BELT = "belt"
    GUARD = "guard"
    FILL = "fill"
    BLEED = "bleed"
    INTERLOCK_TEST = "interlock_test"
    RUN_TEST = "run_test"


MOST_FASTENERS_OF_A_STEP = 40
Bag = Annotated[int, Field(ge=1, le=9999)]
Position = Annotated[int, Field(ge=0, le=100_000)]


class RemovalStepFields(Schema):
    """What may be edited of a step. `position` orders a job's steps; `bag` is the number on the bag of its parts."""

    what: Label = ""
    place: Label = ""
    kind: RemovalKind = RemovalKind.PART
    loosened: bool = False
    bag: Bag | None = None
    behind_id: UUID | None = None
    position: Position = 0


class NewFastener(FastenerFields):
    id: UUID


class RemovalRecord(RemovalStepFields):
    """One step of taking apart with its fasteners. A picture alone is enough: `what` may be empty."""

    id: UUID
    job_id: UUID
    taken_at: Moment
    fasteners: Annotated[list[NewFastener], Field(max_length=MOST_FASTENERS_OF_A_STEP)] = []


class StepMove(MoveFields):
    """What became of fasteners, recorded together with their step."""

    id: UUID
    fastener_id: UUID


StepMoves = Annotated[list[StepMove], Field(max_length=4 * MOST_FASTENERS_OF_A_STEP)]


class StepBack(Schema):
    """A step that was put back, or tightened again, with what became of its fasteners."""

    id: UUID
    back_at: Moment
    moves: StepMoves = []


class StepNotBack(Schema):
    """A step put back by mistake; `moves` cancel those recorded with it, with counts below zero."""

    id: UUID
    undone_at: Moment
    moves: StepMoves = []


class RemovalStepRow(Row):
    job_id: UUID
    position: int
    what: str
    place: str
    kind: RemovalKind
    loosened: bool
    bag: int | None
    behind_id: UUID | None
    taken_at: AwareDatetime
    taken_by_id: UUID | None
    back_at: AwareDatetime | None
    back_by_id: UUID | None
