"""The life of a job, and the shapes of jobs, complaints and findings."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.shape import Aside, Notes, Row, Shape, Text, Words


class Stage(StrEnum):
    INTAKE = "intake"
    DIAGNOSIS = "diagnosis"
    REPAIR = "repair"
    PROVING = "proving"
    READY = "ready"
    RETURNED = "returned"
    CLOSED = "closed"
    CANCELLED = "cancelled"


# A job goes forward by one or more steps while it is worked on, and back when more is found.
JOB_TRANSITIONS: Mapping[Stage, frozenset[Stage]] = {
    Stage.INTAKE: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.CANCELLED}),
    Stage.DIAGNOSIS: frozenset({Stage.INTAKE, Stage.REPAIR, Stage.PROVING, Stage.CANCELLED}),
    Stage.REPAIR: frozenset({Stage.DIAGNOSIS, Stage.PROVING, Stage.CANCELLED}),
    Stage.PROVING: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.READY, Stage.CANCELLED}),
    Stage.READY: frozenset({Stage.PROVING, Stage.REPAIR, Stage.RETURNED}),
    Stage.RETURNED: frozenset({Stage.READY, Stage.CLOSED}),
    Stage.CLOSED: frozenset({Stage.RETURNED}),
    Stage.CANCELLED: frozenset({Stage.INTAKE}),
}


def may_move(stage: Stage, to: Stage) -> bool:
    """Whether a job may go from one stage to another. Staying is no move."""
    return to in JOB_TRANSITIONS[stage]


class Waits(StrEnum):
    """What a job waits on; derived from its quotes and parts, never typed."""

    APPROVAL = "approval"
    PARTS = "parts"
    CUSTOMER = "customer"


class FindingRank(StrEnum):
    SAFETY = "safety"
    NEEDED = "needed"
    ADVISED = "advised"


class Decision(StrEnum):
    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"


Mark = Annotated[Text, Field(max_length=20)]


class JobFields(Shape):
    """What may be edited of a job."""

    site_id: UUID | None = None
    promised_on: date | None = None
    notes: Notes = ""


class NewJob(JobFields):
    """A job as it is opened. `mark` names it on paper and screens until the server numbers it."""

    id: UUID
    customer_id: UUID
    machine_id: UUID
    mark: Mark = ""


class JobMove(Shape):
    id: UUID
    stage: Stage


class JobRow(Row):
    number: str | None
    mark: str
    customer_id: UUID
    machine_id: UUID
    site_id: UUID | None
    stage: str
    promised_on: date | None
    notes: str
    waits_on: list[str]
    opened_at: AwareDatetime


class ComplaintRecord(Shape):
    """The owner's own words, and when it happens."""

    id: UUID
    job_id: UUID
    words: Words
    happens_when: Aside = ""


class ComplaintRow(Row):
    job_id: UUID
    words: str
    happens_when: str
    taken_by_id: UUID | None


class FindingFields(Shape):
    """What may be edited of a finding: the fault, what happens if it is left, and how much it matters."""

    words: Words
    consequence: Aside = ""
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
    rank: str
    decided: str
    found_by_id: UUID | None
    again_of_id: UUID | None
