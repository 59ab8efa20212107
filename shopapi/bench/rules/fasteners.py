"""Fasteners, what became of them, and the ledger that accounts for each one.

A fastener row is a number of equal fasteners at one place. Its `count` came out (or was loosened); every move after
that is a row of its own that never changes, and a mistake is cancelled by a move of the opposite count. By size

    out + new = back + replaced + scrapped + spare

once everything is accounted for: what the shop had plus what was bought equals what is in the machine, in the bin and
on the shelf. *Replaced* went into the bin with a new one in its place, *scrapped* without. *Tightened* moves nothing.
"""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import DecimalText, Label, Moment, Row, Schema, Text


class FastenerMoveKind(TextEnum):
    BACK = "back"
    NEW = "new"
    REPLACED = "replaced"
    SCRAPPED = "scrapped"
    SPARE = "spare"
    TIGHTENED = "tightened"


# Empty: no torque is given. Keys as in the table of units.
TorqueUnit = TypeAliasType("TorqueUnit", Literal["", "N.m", "lbf.ft", "lbf.in"])
Torque = Annotated[DecimalText, Field(gt=0, lt=100_000, decimal_places=3)]
SizeText = Annotated[Text, Field(max_length=20)]
MOST_OF_A_SIZE = 999


class FastenerFields(Schema):
    """What may be edited of a fastener. Thread, length, grade and head are as typed: "M8", "25", "8.8", "hex"."""

    thread: Annotated[Text, Field(min_length=1, max_length=20)]
    length: SizeText = ""
    grade: SizeText = ""
    head: SizeText = ""
    place: Label = ""
    count: Annotated[int, Field(ge=1, le=MOST_OF_A_SIZE)] = 1
    hidden: bool = False
    one_use: bool = False
    thread_locker: SizeText = ""
    torque: Torque | None = None
    torque_unit: TorqueUnit = ""
    torque_critical: bool = False


class FastenerRecord(FastenerFields):
    """A fastener of a step that is recorded already."""

    id: UUID
    step_id: UUID


class FastenerRow(Row):
    step_id: UUID
    thread: str
    length: str
    grade: str
    head: str
    place: str
    count: int
    hidden: bool
    one_use: bool
    thread_locker: str
    torque: DecimalText | None
    torque_unit: TorqueUnit
    torque_critical: bool


class MoveFields(Schema):
    """What became of `count` fasteners; below zero it cancels an earlier move.

    `at_id`: the fastener whose place they went to, where that is not their own. `torque` and `tool`: of a tightening.
    """

    kind: FastenerMoveKind
    count: Annotated[int, Field(ge=-MOST_OF_A_SIZE, le=MOST_OF_A_SIZE)]
    at_id: UUID | None = None
    torque: Torque | None = None
    torque_unit: TorqueUnit = ""
    tool: Label = ""


class MoveRecord(MoveFields):
    id: UUID
    fastener_id: UUID
    moved_at: Moment


class FastenerMoveRow(Row):
    fastener_id: UUID
    kind: FastenerMoveKind
    count: int
    at_id: UUID | None
    torque: DecimalText | None
    torque_unit: TorqueUnit
    tool: str
    moved_at: AwareDatetime
    member_id: UUID | None
