"""The wire schemas of stops and of what happens at them."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, LongText, Moment, OptionalText, Row, Schema
from shopapi.customers.rules.customer import Latitude, Longitude
from shopapi.dispatch.rules.states import StopState

StopKind = TypeAliasType("StopKind", Literal["pickup", "return", "visit"])
Need = TypeAliasType("Need", Literal["winch", "ramp", "two_people"])
Priority = TypeAliasType("Priority", Literal["usual", "soon", "first"])
Failure = TypeAliasType("Failure", Literal["nobody_home", "gate_locked", "too_wet", "machine_not_ready", "other"])
ArrivalChannel = TypeAliasType("ArrivalChannel", Literal["email", "sms", "by_hand"])
Stamp = TypeAliasType("Stamp", Literal["arrived", "left", "failed"])


class StopWindow(Schema):
    """Work may begin from `opens` to `closes`."""

    opens: Moment
    closes: Moment


class StopFields(Schema):
    """What may be edited of a stop. Without windows any time of the day will do.

    `lat`, `lon` and `place`: where the machine stands now, when that is not the site. `service_minutes` None: the
    quote's labor for a visit, else as learned. `earliest_on`: not before this day; `promised_on`: by this day;
    `wait_until`: may be left for another day up to this one.
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
    """A stop that is asked for. Without a site it is at the job's. `plan_id`: urgent, plan the day again."""

    id: UUID
    job_id: UUID
    kind: StopKind
    plan_id: UUID | None = None


class UrgentStop(Schema):
    """An urgent call: a stop of the first priority, promised for today. Without a site it is at the job's.

    The rest of today is planned again by itself, under `plan_id` if one is given.
    """

    id: UUID
    job_id: UUID
    kind: StopKind
    site_id: UUID | None = None
    notes: LongText = ""
    plan_id: UUID | None = None


class StopDrop(Schema):
    """A stop that is not needed any more."""

    id: UUID
    reason: OptionalText = ""


class StopPin(Schema):
    """What a plan must keep of a stop; None frees it. `after_id`: on the same run, somewhere after that stop."""

    id: UUID
    rig_id: UUID | None = None
    at: Moment | None = None
    after_id: UUID | None = None


class StopMove(Schema):
    """Where a stop goes by hand: run, trip and place in it, counted from 0. No run: back to be planned."""

    id: UUID
    run_id: UUID | None = None
    trip: Annotated[int, Field(ge=0, le=20)] = 0
    position: Annotated[int, Field(ge=0, le=500)] = 0


class StopArrival(Schema):
    """`at`: what the device's clock said; `run_id`: the run it was driven on; `clock_id`: the clock that ends."""

    id: UUID
    at: Moment
    run_id: UUID | None = None
    clock_id: UUID | None = None


class StopLeaving(Schema):
    """`clock_id`: the travel clock that begins; None: none does."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


class StampBack(Schema):
    """A stamp that was pressed by mistake; taking "failed" back takes out what was asked for again with it."""

    id: UUID
    stamp: Stamp


class StopFailure(Schema):
    """A stop that came to nothing. `again_id`: the new stop that asks for it once more.

    On a run of today the rest of the day is planned again by itself, under `plan_id` if one is given. Sent again for
    the same stop it says more exactly why.
    """

    id: UUID
    at: Moment
    reason: Failure
    note: OptionalText = ""
    again_id: UUID | None = None
    plan_id: UUID | None = None


class ArrivalPromise(Schema):
    """An arrival told to the customer, as an interval: a promise that plans keep.

    By mail or text message the server writes to the customer; by hand somebody has told them. `notice_id` makes the
    message the same one when this is sent again; without it the command's own id does.
    """

    id: UUID
    opens: Moment
    closes: Moment
    channel: ArrivalChannel = "by_hand"
    notice_id: UUID | None = None


class StopRow(Row):
    """A stop as devices see it. `arrives_from`, `arrives_to`: when somebody will be there, as an interval.

    `trip` and `position` count from 0 within its run. `again_of_id`: the stop that came to nothing before.
    `from_rig_id`: its machine stands on the deck of this rig, which broke down at `lat`, `lon`.
    """

    job_id: UUID
    kind: StopKind
    site_id: UUID
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
    told_from: AwareDatetime | None
    told_to: AwareDatetime | None
    told_at: AwareDatetime | None
    arrived_at: AwareDatetime | None
    left_at: AwareDatetime | None
    failure: Failure | Literal[""]
    failure_note: str
    failed_at: AwareDatetime | None
    again_of_id: UUID | None
    from_rig_id: UUID | None


def faults_of_stop(stop: StopFields) -> list[FieldError]:
    """What of a stop contradicts itself. Twin: `faultsOfStop` in `pwa/src/domain/dispatch/stopFaults.ts`."""
    faults = []
    for at, window in enumerate(stop.windows):
        if window.closes <= window.opens:
            faults.append(FieldError(f"windows.{at}.closes", "window_ends_first"))
    if (stop.lat is None) != (stop.lon is None):
        faults.append(FieldError("lat", "half_a_place", message="half_a_stop"))
    if stop.earliest_on and stop.wait_until and stop.wait_until < stop.earliest_on:
        faults.append(FieldError("wait_until", "wait_ends_first"))
    return faults
