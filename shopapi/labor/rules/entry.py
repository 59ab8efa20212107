"""One span of one member's time: its kinds, its states, and the schemas of the commands that create and correct it."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.schema import Moment, Row, Schema, Text


class EntryKind(TextEnum):
    REPAIR = "repair"
    DIAGNOSIS = "diagnosis"
    TRAVEL = "travel"
    ERRAND = "errand"
    REWORK = "rework"
    SHOP = "shop"


# Work on a machine is work on a job; the shop's own time is on none.
JOB_KINDS = frozenset({EntryKind.REPAIR, EntryKind.DIAGNOSIS, EntryKind.REWORK})
# What a customer may be billed for at all. Rework never is, and always counts.
BILLABLE = frozenset({EntryKind.REPAIR, EntryKind.DIAGNOSIS, EntryKind.TRAVEL})


class ReworkCause(TextEnum):
    """Why work had to be done again."""

    WRONG_GAUGE = "wrong_gauge"
    WRONG_PART = "wrong_part"
    TORQUE = "torque"
    MISSED_STEP = "missed_step"
    PART_FAILED = "part_failed"
    OTHER = "other"


class EntryState(TextEnum):
    """`open` runs, `closed` has ended, `disputed` must be settled, `replaced` counts no more."""

    OPEN = "open"
    CLOSED = "closed"
    DISPUTED = "disputed"
    REPLACED = "replaced"


class EntryAnomaly(TextEnum):
    """What is wrong with one entry by itself."""

    ENDS_FIRST = "ends_first"
    IN_FUTURE = "in_future"
    TOO_LONG = "too_long"
    CLOCK_SET = "clock_set"


Operation = Annotated[Text, Field(max_length=60)]
Reason = Annotated[Text, Field(min_length=1, max_length=500)]


class WorkDetails(Schema):
    """What the time was for. `operation` names the work ("carburetor clean"); `line_id` is the quote's line, if any.

    `repairs_id` is the entry whose work had to be done again.
    """

    kind: EntryKind
    job_id: UUID | None = None
    operation: Operation = ""
    line_id: UUID | None = None
    cause: ReworkCause | None = None
    repairs_id: UUID | None = None


class ClockStart(WorkDetails):
    """A clock as it was started. `ends_ids`: the clocks the phone showed as running, which this ends.

    `started_at` is what the device's own clock said.
    """

    id: UUID
    started_at: Moment
    ends_ids: Annotated[list[UUID], Field(max_length=20)] = []


class ClockStop(Schema):
    """A clock as it was stopped; `ended_at` is what the device's own clock said."""

    id: UUID
    ended_at: Moment


class EntryByHand(WorkDetails):
    """Time that no clock was running for, written down afterwards. `member_id` None: the actor's own."""

    id: UUID
    member_id: UUID | None = None
    started_at: Moment
    ended_at: Moment
    reason: Reason


class ClockedElsewhere(WorkDetails):
    """An ended span that was clocked before it came here, with the device it was clocked on."""

    id: UUID
    member_id: UUID
    device_id: UUID | None = None
    started_at: Moment
    ended_at: Moment


class Correction(WorkDetails):
    """An entry as it should have been, under its own id; `entry_id` is the one it replaces.

    `ended_at` None: it is running still.
    """

    id: UUID
    entry_id: UUID
    started_at: Moment
    ended_at: Moment | None
    reason: Reason


class EntryDrop(Schema):
    """An entry that should not be: a tap in the pocket. It is kept and counts no more."""

    id: UUID
    reason: Reason


class Split(Schema):
    """Where one clock gave way to the other, and the ids of the two entries that come of it."""

    at: Moment
    id: UUID
    other_id: UUID


class Settlement(Schema):
    """How a dispute ends: the entry `id` holds and `other_id` gives way, or both do at a time.

    Without `other_id` an entry that is doubtful by itself is taken as it stands.
    """

    id: UUID
    other_id: UUID | None = None
    split: Split | None = None
    reason: Annotated[Text, Field(max_length=500)] = ""


class TimeEntryRow(Row):
    """An entry as devices see it.

    `started_at` and `ended_at` are what counts; `device_…` what the device's clock said (None: written by hand);
    `…_skew_ms` how far that clock was ahead, which was taken off.
    """

    member_id: UUID
    device_id: UUID | None
    job_id: UUID | None
    kind: EntryKind
    operation: str
    line_id: UUID | None
    started_at: AwareDatetime
    ended_at: AwareDatetime | None
    device_started_at: AwareDatetime | None
    device_ended_at: AwareDatetime | None
    start_skew_ms: int
    end_skew_ms: int
    state: EntryState
    doubt: EntryAnomaly | Literal[""]
    corrects_id: UUID | None
    reason: str
    cause: ReworkCause | Literal[""]
    repairs_id: UUID | None


def faults_of(work: WorkDetails) -> list[FieldError]:
    """What is missing or too much. Twin: `faultsOf` in `pwa/src/domain/labor/clock.ts`.

    >>> [fault.field for fault in faults_of(WorkDetails(kind=EntryKind.REWORK))]
    ['cause', 'job_id']
    """
    faults = []
    if work.kind is EntryKind.REWORK and work.cause is None:
        faults.append(FieldError("cause", "cause_needed"))
    if work.kind is not EntryKind.REWORK and (work.cause is not None or work.repairs_id is not None):
        faults.append(FieldError("cause", "not_rework"))
    if work.kind in JOB_KINDS and work.job_id is None:
        faults.append(FieldError("job_id", "job_needed"))
    if work.kind is EntryKind.SHOP and work.job_id is not None:
        faults.append(FieldError("job_id", "no_job"))
    return faults
