"""The wire schemas of stops and of events at them."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, LongText, Moment, OptionalText, Row, Schema
from shopapi.customers.rules.customer import Latitude, Longitude
from shopapi.dispatch.rules.states import StopState

# What a stop is for: the machine of a job, or parts at a supplier.
JobStopKind = TypeAliasType("JobStopKind", Literal["pickup", "return", "visit"])
StopKind = TypeAliasType("StopKind", Literal["pickup", "return", "visit", "fetch"])
Need = TypeAliasType("Need", Literal["winch", "ramp", "two_people"])
Priority = TypeAliasType("Priority", Literal["usual", "soon", "first"])
Failure = TypeAliasType("Failure", Literal["nobody_home", "gate_locked", "too_wet", "machine_not_ready", "other"])
ArrivalChannel = TypeAliasType("ArrivalChannel", Literal["email", "sms", "by_hand"])
Stamp = TypeAliasType("Stamp", Literal["arrived", "left", "failed"])


class StopWindow(Schema):
    """Work may begin between `opens` and `closes`."""

    opens: Moment
    closes: Moment


class StopFields(Schema):
    """The editable fields of a stop. Without windows any time of day is possible.

    `lat`, `lon` and `place`: where the machine is, if not at the site. `service_minutes` None: the agreed labor for a
    visit, else as learned. `earliest_on`: not before this day; `promised_on`: by this day; `wait_until`: may be left
    for another day up to this one.
    """

    site_id: UUID | None = None
    lat: Latitude | None = None
    lon: Longitude | None = None
    place: Label = ""
    windows: Annotated[list[StopWindow], Field(max_length=10)] = []
    service_minutes: Annotated[int, Field(ge=1, le=720)] | None = None
    needs: Annotated[list[Need], Field(max_length=3)] = []
    priority: Priority = "usual"
    earliest_on: date | None = None
    promised_on: date | None = None
    wait_until: date | None = None
    by_daylight: bool = False
    notes: LongText = ""


class NewStop(StopFields):
    """A new stop. Without a site it is at the job's. `plan_id`: urgent, plan the day again."""

    id: UUID
    job_id: UUID
    kind: JobStopKind
    plan_id: UUID | None = None


class SupplierStop(Schema):
    """A new stop to fetch parts at a supplier: whatever is to come of the orders there when somebody is."""

    id: UUID
    supplier_id: UUID
    promised_on: date | None = None
    notes: LongText = ""


class UrgentStop(Schema):
    """An urgent stop: first priority, promised for today. Without a site it is at the job's.

    The rest of today is planned again automatically, with the id `plan_id` if one is given.
    """

    id: UUID
    job_id: UUID
    kind: JobStopKind
    site_id: UUID | None = None
    notes: LongText = ""
    plan_id: UUID | None = None


class StopDrop(Schema):
    """Take out a stop that is no longer needed."""

    id: UUID
    reason: OptionalText = ""


class StopPin(Schema):
    """What a plan must keep of a stop; None: free. `after_id`: on the same run, somewhere after that stop."""

    id: UUID
    rig_id: UUID | None = None
    at: Moment | None = None
    after_id: UUID | None = None


class StopMove(Schema):
    """Move a stop by hand to a run, trip and position (counted from 0). Without a run it is to be planned again."""

    id: UUID
    run_id: UUID | None = None
    trip: Annotated[int, Field(ge=0, le=20)] = 0
    position: Annotated[int, Field(ge=0, le=500)] = 0


class StopArrival(Schema):
    """`at`: by the device's clock; `run_id`: the run it was driven on; `clock_id`: the travel clock that stops."""

    id: UUID
    at: Moment
    run_id: UUID | None = None
    clock_id: UUID | None = None


class StopLeaving(Schema):
    """`clock_id`: the travel clock that starts; None: none."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


class StampBack(Schema):
    """Undo a stamp pressed by mistake; undoing "failed" also takes out the new stop that was created with it."""

    id: UUID
    stamp: Stamp


class StopFailure(Schema):
    """A failed stop. `again_id`: the new stop that repeats it.

    On a run of today the rest of the day is planned again automatically, with the id `plan_id` if one is given. Sent
    again for the same stop it updates the reason.
    """

    id: UUID
    at: Moment
    reason: Failure
    note: OptionalText = ""
    again_id: UUID | None = None
    plan_id: UUID | None = None


class ArrivalPromise(Schema):
    """The arrival interval that the customer was told, which plans keep.

    By mail or text message the server writes to the customer; by hand, a member has told them. `notice_id` makes
    repeated sending write one message only; without it the command's own id does.
    """

    id: UUID
    opens: Moment
    closes: Moment
    channel: ArrivalChannel = "by_hand"
    notice_id: UUID | None = None


class StopRow(Row):
    """A stop as synced to devices. `arrives_from`, `arrives_to`: the interval of the planned arrival.

    `trip` and `position` count from 0 within its run. `again_of_id`: the failed stop that this one repeats.
    `from_rig_id`: its machine is on the deck of this rig, which broke down at `lat`, `lon`. A stop that fetches parts
    has a supplier, every other one a job and a site.
    """

    job_id: UUID | None
    kind: StopKind
    site_id: UUID | None
    supplier_id: UUID | None
    lat: DecimalText | None
    lon: DecimalText | None
    place: str
    windows: list[StopWindow]
    service_minutes: int | None
    needs: list[Need]
    priority: Priority
    earliest_on: date | None
    promised_on: date | None
    wait_until: date | None
    by_daylight: bool
    notes: str
    pin_rig_id: UUID | None
    pin_at: AwareDatetime | None
    pin_after_id: UUID | None
    state: StopState
    run_id: UUID | None
    trip: int
    position: int
    arrives_from: AwareDatetime | None
    arrives_at: AwareDatetime | None
    arrives_to: AwareDatetime | None
    leaves_at: AwareDatetime | None
    notified_from: AwareDatetime | None
    notified_to: AwareDatetime | None
    notified_at: AwareDatetime | None
    arrived_at: AwareDatetime | None
    left_at: AwareDatetime | None
    failure: Failure | Literal[""]
    failure_note: str
    failed_at: AwareDatetime | None
    again_of_id: UUID | None
    from_rig_id: UUID | None


def faults_of_stop(stop: StopFields) -> list[FieldError]:
    """The contradictions in a stop's fields. Twin: `faultsOfStop` in `pwa/src/domain/dispatch/stopFaults.ts`."""
    faults = []
    for at, window in enumerate(stop.windows):
        if window.closes <= window.opens:
            faults.append(FieldError(f"windows.{at}.closes", "window_ends_first"))
    if (stop.lat is None) != (stop.lon is None):
        faults.append(FieldError("lat", "half_a_place", message="half_a_stop"))
    if stop.earliest_on and stop.wait_until and stop.wait_until < stop.earliest_on:
        faults.append(FieldError("wait_until", "wait_ends_first"))
    return faults
