"""The wire schemas of printouts."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Label, Row, Schema

PrintoutKind = TypeAliasType("PrintoutKind", Literal["run", "tags", "hand_over", "ticket"])
TicketChannel = TypeAliasType("TicketChannel", Literal["email", "sms"])
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


class TicketPrint(Schema):
    """Request the ticket of a job as it is now; `id` is the printout's."""

    id: UUID
    job_id: UUID


class TicketSend(TicketPrint):
    """Request the ticket of a job and write its link to the customer, by e-mail or text message."""

    channel: TicketChannel
    address: Annotated[Label, Field(min_length=1, max_length=254)]
    name: Label = ""


class PrintoutRow(Row):
    """A requested PDF: waiting, ready (then it can be read), or failed with a reason."""

    kind: PrintoutKind
    run_id: UUID | None
    hand_over_id: UUID | None
    job_id: UUID | None
    machine_ids: list[UUID]
    state: PrintoutState
    reason: str
