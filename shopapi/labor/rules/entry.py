"""Time entries: kinds, states, and the schemas of the commands that create and correct them."""

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


# Work on a machine belongs to a job; the shop's own time belongs to none.
JOB_KINDS = frozenset({EntryKind.REPAIR, EntryKind.DIAGNOSIS, EntryKind.REWORK})
# The kinds that can be billed to a customer. Rework never is, but counts as worked time.
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
    """`open` runs, `closed` has ended, `disputed` must be settled, `replaced` no longer counts."""

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
    """What the time was for. `operation` names the work ("carburetor clean"); `line_id` is the quote line, if any.

    `repairs_id` is the entry whose work had to be done again.
    """

    kind: EntryKind
    job_id: UUID | None = None
    operation: Operation = ""
    line_id: UUID | None = None
    cause: ReworkCause | None = None
    repairs_id: UUID | None = None


class ClockStart(WorkDetails):
    """The start of a clock. `ends_ids`: the entries the phone showed as running, which this one ends.

    `started_at` is by the device's own clock.
    """

    id: UUID
    started_at: Moment
    ends_ids: Annotated[list[UUID], Field(max_length=20)] = []


class ClockStop(Schema):
    """The stop of a clock; `ended_at` is by the device's own clock."""

    id: UUID
    ended_at: Moment


class EntryByHand(WorkDetails):
    """Time entered afterwards, without a clock. `member_id` None: the actor's own."""

    id: UUID
    member_id: UUID | None = None
    started_at: Moment
    ended_at: Moment
    reason: Reason


class ClockedElsewhere(WorkDetails):
    """An ended span from an earlier system, with the device it was clocked on."""

    id: UUID
    member_id: UUID
    device_id: UUID | None = None
    started_at: Moment
    ended_at: Moment


class Correction(WorkDetails):
    """The corrected entry under a new id; `entry_id` is the one it replaces.

    `ended_at` None: it is still running.
    """

    id: UUID
    entry_id: UUID
    started_at: Moment
    ended_at: Moment | None
    reason: Reason


class EntryDrop(Schema):
    """Take out an entry that was started by mistake. The row is kept but no longer counts."""

    id: UUID
    reason: Reason


class Split(Schema):
    """When one clock ended and the other began, and the ids of the two entries that replace them."""

    at: Moment
    id: UUID
    other_id: UUID


class Settlement(Schema):
    """How a dispute is settled: entry `id` counts and `other_id` is replaced, or both are cut at `split`.

    Without `other_id` an entry with an anomaly of its own is accepted unchanged.
    """

    id: UUID
    other_id: UUID | None = None
    split: Split | None = None
    reason: Annotated[Text, Field(max_length=500)] = ""


class TimeEntryRow(Row):
    """An entry as synced to devices.

    `started_at` and `ended_at` are the times used; `device_…` are by the device's clock (None: entered by hand);
    `…_skew_ms` is how far that clock was ahead, which was subtracted.
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
    anomaly: EntryAnomaly | Literal[""]
    corrects_id: UUID | None
    reason: str
    cause: ReworkCause | Literal[""]
    repairs_id: UUID | None


def faults_of(work: WorkDetails) -> list[FieldError]:
    """The fields that are missing or must be empty. Twin: `faultsOf` in `pwa/src/domain/labor/clock.ts`.

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
