"""The wire schemas of printouts."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Row, Schema

PrintoutKind = TypeAliasType("PrintoutKind", Literal["run", "tags", "hand_over"])
PrintoutState = TypeAliasType("PrintoutState", Literal["waiting", "ready", "failed"])


class RunPrint(Schema):
    """Request the sheet of a run in its present state; `id` is the printout's."""

    id: UUID
    run_id: UUID


class TagPrint(Schema):
    """Request a sheet of tags to stick on machines."""

    id: UUID
    machine_ids: Annotated[list[UUID], Field(min_length=1, max_length=60)]


class HandOverPrint(Schema):
    """Request the sheet of a signed hand-over; `id` is the printout's."""

    id: UUID
    hand_over_id: UUID


class PrintoutRow(Row):
    """A requested PDF: waiting, ready (then it can be read), or failed with a reason."""

    kind: PrintoutKind
    run_id: UUID | None
    hand_over_id: UUID | None
    machine_ids: list[UUID]
    state: PrintoutState
    reason: str
