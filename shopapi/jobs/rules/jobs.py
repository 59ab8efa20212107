"""The stages of a job, and the schemas of jobs, complaints and findings."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import LongText, OptionalText, RequiredText, Row, Schema, Text


class Stage(TextEnum):
    INTAKE = "intake"
    DIAGNOSIS = "diagnosis"
    REPAIR = "repair"
    TESTING = "testing"
    READY = "ready"
    RETURNED = "returned"
    CLOSED = "closed"
    CANCELLED = "cancelled"


class ResumedWork(Schema):
    """From when a machine that was ready was worked on again, until it was ready again; None: it was not yet."""

    from_at: AwareDatetime
    ready_at: AwareDatetime | None = None


# A job goes forward by one or more steps while it is worked on, and back when more is found.
JOB_TRANSITIONS: Mapping[Stage, frozenset[Stage]] = {
    Stage.INTAKE: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.CANCELLED}),
    Stage.DIAGNOSIS: frozenset({Stage.INTAKE, Stage.REPAIR, Stage.TESTING, Stage.CANCELLED}),
    Stage.REPAIR: frozenset({Stage.DIAGNOSIS, Stage.TESTING, Stage.CANCELLED}),
    Stage.TESTING: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.READY, Stage.CANCELLED}),
    Stage.READY: frozenset({Stage.TESTING, Stage.REPAIR, Stage.RETURNED}),
    Stage.RETURNED: frozenset({Stage.READY, Stage.CLOSED}),
    Stage.CLOSED: frozenset({Stage.RETURNED}),
    Stage.CANCELLED: frozenset({Stage.INTAKE}),
}


def may_move(stage: Stage, to: Stage) -> bool:
    """Whether a job may go from one stage to another. Staying is no move."""
    return to in JOB_TRANSITIONS[stage]


class Waits(TextEnum):
    """What a job waits on; derived, never typed.

    APPROVAL: a quote of it is on offer. PARTS: a part that it needs has not come. CUSTOMER is on the wire, but nothing
    writes it yet.
    """

    APPROVAL = "approval"
    PARTS = "parts"
    CUSTOMER = "customer"


class FindingRank(TextEnum):
    SAFETY = "safety"
    NEEDED = "needed"
    ADVISED = "advised"


class Decision(TextEnum):
    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"


class Urgency(TextEnum):
    """How much hurry a job is in. One needed by a date has that date; one that is DOWN loses money every day."""

    USUAL = "usual"
    DOWN = "down"


# How the machine comes to the shop, or the shop to it; empty: nobody said.
ArrivesBy = TypeAliasType("ArrivesBy", Literal["", "drop_off", "pickup", "visit"])


def finishes(stage: Stage, to: Stage) -> bool:
    """Whether a move says that the work is done. From returned back to ready only corrects a return."""
    return stage == Stage.TESTING and to == Stage.READY


def resumes(stage: Stage, to: Stage) -> bool:
    """Whether a move says that a machine that was ready is worked on again."""
    return stage == Stage.READY and to != Stage.RETURNED


def resumed_work_after(spans: Sequence[ResumedWork], stage: Stage, to: Stage, at: datetime) -> list[ResumedWork]:
    """When a job was worked on again, after a move at an instant. Twin: `pwa/src/domain/jobs/safety.ts`."""
    if resumes(stage, to):
        return [*spans, ResumedWork(from_at=at)]
    if finishes(stage, to) and spans and spans[-1].ready_at is None:
        return [*spans[:-1], spans[-1].model_copy(update={"ready_at": at})]
    return list(spans)


def starts_testing(stage: Stage, to: Stage) -> bool:
    """Whether a move says that the machine is back together. From ready back to testing only takes a step back."""
    return to == Stage.TESTING and stage != Stage.READY


ComebackFault = TypeAliasType(
    "ComebackFault",
    Literal["comeback_of_itself", "comeback_of_another_machine", "comeback_of_later_job", "comeback_in_circle"],
)


@dataclass(frozen=True)
class OpenedJob:
    """A job as far as comebacks ask of it."""

    id: UUID
    machine_id: UUID
    opened_at: datetime


def comeback_fault(job: OpenedJob, first: OpenedJob, behind_first: Collection[UUID]) -> ComebackFault | None:
    """Why a job cannot be a comeback of another, or None where it can.

    `behind_first`: the jobs of which `first` is a comeback itself, however far back. Jobs opened at one instant may be
    comebacks of each other in one direction alone.
    """
    if job.id == first.id:
        return "comeback_of_itself"
    if job.machine_id != first.machine_id:
        return "comeback_of_another_machine"
    if first.opened_at > job.opened_at:
        return "comeback_of_later_job"
    return "comeback_in_circle" if job.id in behind_first else None


Mark = Annotated[Text, Field(max_length=20)]


class JobFields(Schema):
    """What may be edited of a job. `comeback_of_id`: the earlier job of the machine whose work has to be done again."""

    site_id: UUID | None = None
    promised_on: date | None = None
    urgency: Urgency = Urgency.USUAL
    arrives_by: ArrivesBy = ""
    notes: LongText = ""
    comeback_of_id: UUID | None = None


class NewJob(JobFields):
    """A job as it is opened. `mark` names it on screens and PDFs until the server numbers it."""

    id: UUID
    customer_id: UUID
    machine_id: UUID
    mark: Mark = ""


class Numbered(Schema):
    number: Mark


class JobMove(Schema):
    id: UUID
    stage: Stage


class JobRow(Row):
    number: str | None
    mark: str
    customer_id: UUID
    machine_id: UUID
    site_id: UUID | None
    stage: Stage
    promised_on: date | None
    urgency: Urgency
    arrives_by: ArrivesBy
    notes: str
    comeback_of_id: UUID | None
    waits_on: list[Waits]
    resumed_work: list[ResumedWork]
    opened_at: AwareDatetime


class ComplaintRecord(Schema):
    """The customer's own words, and when it happens."""

    id: UUID
    job_id: UUID
    words: RequiredText
    happens_when: OptionalText = ""


class ComplaintRow(Row):
    job_id: UUID
    words: str
    happens_when: str
    taken_by_id: UUID | None


class FindingFields(Schema):
    """What may be edited of a finding: the fault, what happens if it is left, and how much it matters."""

    words: RequiredText
    consequence: OptionalText = ""
    rank: FindingRank


class FindingRecord(FindingFields):
    """A fault found on a job; `again_of_id` is one that was declined on an earlier visit and is taken up again."""

    id: UUID
    job_id: UUID
    again_of_id: UUID | None = None


class FindingRow(Row):
    job_id: UUID
    words: str
    consequence: str
    rank: FindingRank
    decided: Decision
    found_by_id: UUID | None
    again_of_id: UUID | None
