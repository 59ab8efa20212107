"""Shapes of rigs, runs, stops, hand-overs and plannings on the wire.

Lengths are whole centimetres, weights whole kilograms, distances metres, times of the day "HH:MM" in the shop's zone.
"""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.errors import FieldError
from shopapi.core.shape import Aside, DecimalText, Label, Minor, Moment, Name, Notes, Row, Shape, Text
from shopapi.customers.rules.customer import Latitude, Longitude
from shopapi.dispatch.rules.states import PlanState, RunState, StopState
from shopapi.machines.rules import Centimeters, Hours, Kilograms
from shopapi.quotes.rules.records import Ink

ClockTime = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Minutes = Annotated[int, Field(ge=0, le=720)]
Permille = Annotated[int, Field(ge=0, le=500)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Note = Annotated[Text, Field(max_length=60)]

StopKind = Literal["pickup", "return", "visit"]
Need = Literal["winch", "ramp", "two_people"]
Priority = Literal["usual", "soon", "first"]
Failure = Literal["nobody_home", "gate_locked", "too_wet", "machine_not_ready", "other"]
Fuel = Literal["unknown", "empty", "low", "half", "full", "electric"]
Cause = Literal["asked", "no_show", "breakdown", "urgent"]
Channel = Literal["email", "sms", "by_hand"]
MeterDoubt = Literal["", "lower", "too_fast"]

# Rigs and the yard


class DeckFields(Shape):
    """The trailer's deck. `height_cm`: ground to deck, hitched; `slots`: machines at most; `lanes`: side by side."""

    length_cm: Centimeters | None = None
    width_cm: Centimeters | None = None
    height_cm: Centimeters | None = None
    slots: Annotated[int, Field(ge=1, le=12)] = 1
    lanes: Annotated[int, Field(ge=1, le=4)] = 1


class TrailerFields(Shape):
    """The empty trailer and its plates.

    `tongue_kg`: on the ball when empty; `axle_cm`, `deck_cm`: from the ball to the middle of the axles, and to the
    front of the deck; `gawr_kg` is of one axle, `tires_kg` of all tires together.
    """

    empty_kg: Kilograms | None = None
    tongue_kg: Kilograms | None = None
    axle_cm: Centimeters | None = None
    deck_cm: Centimeters | None = None
    axles: Annotated[int, Field(ge=1, le=4)] = 1
    track_cm: Centimeters | None = None
    gvwr_kg: Kilograms | None = None
    gawr_kg: Kilograms | None = None
    tires_kg: Kilograms | None = None
    coupler_kg: Kilograms | None = None


class TruckFields(Shape):
    """The truck as it leaves, with people, fuel and tools, and its plates. `overhang_cm`: rear axle to ball."""

    ready_kg: Kilograms | None = None
    gvwr_kg: Kilograms | None = None
    gcwr_kg: Kilograms | None = None
    hitch_kg: Kilograms | None = None
    hitch_tongue_kg: Kilograms | None = None
    ball_kg: Kilograms | None = None
    rear_ready_kg: Kilograms | None = None
    rear_gawr_kg: Kilograms | None = None
    wheelbase_cm: Centimeters | None = None
    overhang_cm: Centimeters | None = None


class Rest(Shape):
    """A break of some minutes that starts from `opens` to `closes`."""

    opens: ClockTime
    closes: ClockTime
    minutes: Annotated[int, Field(ge=1, le=240)]


class RigFields(Shape):
    """What may be edited of a rig. `payload_kg`: machines that it may carry; `straps`: tie-downs that it carries.

    Without a home of its own it stands in the yard over night. `crew`: how many people go along.
    """

    name: Name
    driver_id: UUID | None = None
    crew: Annotated[int, Field(ge=1, le=4)] = 1
    payload_kg: Kilograms
    deck: DeckFields = DeckFields()
    trailer: TrailerFields | None = None
    truck: TruckFields | None = None
    winch: bool = False
    ramp_length_cm: Centimeters | None = None
    ramp_full_width: bool = False
    straps: Annotated[int, Field(ge=0, le=99)] | None = None
    home_lat: Latitude | None = None
    home_lon: Longitude | None = None
    shift_opens: ClockTime = "07:00"
    shift_closes: ClockTime = "17:00"
    breaks: Annotated[list[Rest], Field(max_length=4)] = []
    active: bool = True


class NewRig(RigFields):
    id: UUID


class RigRow(Row):
    """A rig as devices see it. `out_at`: since then it is broken down, `out_note` says how."""

    name: str
    driver_id: UUID | None
    crew: int
    payload_kg: int
    deck: DeckFields
    trailer: TrailerFields | None
    truck: TruckFields | None
    winch: bool
    ramp_length_cm: int | None
    ramp_full_width: bool
    straps: int | None
    home_lat: DecimalText | None
    home_lon: DecimalText | None
    shift_opens: str
    shift_closes: str
    breaks: list[Rest]
    active: bool
    out_at: AwareDatetime | None
    out_note: str


class Breakdown(Shape):
    """A rig that cannot go on, and where it stands; without a position it stands where it was last.

    The rest of today is planned anew by itself, under `plan_id` if one is given. Told a second time of the same rig it
    says more exactly what happened and where.
    """

    id: UUID
    at: Moment
    note: Aside = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    place: Label = ""
    plan_id: UUID | None = None


class YardFields(Shape):
    """Where runs begin and end, and how this shop drives and works. Minutes are what holds until history says better.

    `speed_kmh` None: as learned from driven legs, or the usual. `trailer_percent`: slower with a trailer.
    `turn_in_minutes`: from the road to work, at each stop. Tongue range in parts of a thousand of the loaded trailer.
    """

    lat: Latitude | None = None
    lon: Longitude | None = None
    opens: ClockTime = "07:00"
    closes: ClockTime = "18:00"
    loading_minutes: Minutes = 10
    pickup_minutes: Minutes = 20
    return_minutes: Minutes = 15
    visit_minutes: Minutes = 45
    speed_kmh: Annotated[int, Field(ge=5, le=130)] | None = None
    trailer_percent: Annotated[int, Field(ge=0, le=60)] = 10
    turn_in_minutes: Annotated[int, Field(ge=0, le=60)] = 4
    tongue_low_permille: Permille = 100
    tongue_high_permille: Permille = 150
    least_tie_downs: Annotated[int, Field(ge=1, le=12)] = 4


class NewYard(YardFields):
    id: UUID


class Learned(Shape):
    """What this shop's own days say.

    Minutes between arriving and leaving by kind of stop with how many they come of, and how driven legs compare with
    the rule: `drive_permille` of its seconds, with an interval.
    """

    pickup_minutes: int | None = None
    pickup_count: int = 0
    return_minutes: int | None = None
    return_count: int = 0
    visit_minutes: int | None = None
    visit_count: int = 0
    drive_permille: int | None = None
    drive_low_permille: int | None = None
    drive_high_permille: int | None = None
    drive_count: int = 0


class YardRow(Row):
    lat: DecimalText | None
    lon: DecimalText | None
    opens: str
    closes: str
    loading_minutes: int
    pickup_minutes: int
    return_minutes: int
    visit_minutes: int
    speed_kmh: int | None
    trailer_percent: int
    turn_in_minutes: int
    tongue_low_permille: int
    tongue_high_permille: int
    least_tie_downs: int
    learned: Learned


# Stops


class StopWindow(Shape):
    """Work may begin from `opens` to `closes`."""

    opens: Moment
    closes: Moment


class StopFields(Shape):
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
    notes: Notes = ""


class NewStop(StopFields):
    """A stop that is asked for. Without a site it is at the job's. `plan_id`: urgent, plan the day anew."""

    id: UUID
    job_id: UUID
    kind: StopKind
    plan_id: UUID | None = None


class UrgentStop(Shape):
    """An urgent call: a stop of the first priority, promised for today. Without a site it is at the job's.

    The rest of today is planned anew by itself, under `plan_id` if one is given.
    """

    id: UUID
    job_id: UUID
    kind: StopKind
    site_id: UUID | None = None
    notes: Notes = ""
    plan_id: UUID | None = None


class StopDrop(Shape):
    """A stop that is not needed any more."""

    id: UUID
    reason: Aside = ""


class StopPin(Shape):
    """What a plan must keep of a stop; None frees it. `after_id`: on the same run, somewhere after that stop."""

    id: UUID
    rig_id: UUID | None = None
    at: Moment | None = None
    after_id: UUID | None = None


class StopMove(Shape):
    """Where a stop goes by hand: run, trip and place in it, counted from 0. No run: back to be planned."""

    id: UUID
    run_id: UUID | None = None
    trip: Annotated[int, Field(ge=0, le=20)] = 0
    position: Annotated[int, Field(ge=0, le=500)] = 0


class StopArrival(Shape):
    """`at`: what the device's clock said; `run_id`: the run it was driven on; `clock_id`: the clock that ends."""

    id: UUID
    at: Moment
    run_id: UUID | None = None
    clock_id: UUID | None = None


class StopLeaving(Shape):
    """`clock_id`: the travel clock that begins; None: none does."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


class StampBack(Shape):
    """A stamp that was pressed by mistake; taking "failed" back takes out what was asked for again with it."""

    id: UUID
    stamp: Literal["arrived", "left", "failed"]


class StopFailure(Shape):
    """A stop that came to nothing. `again_id`: the new stop that asks for it once more.

    On a run of today the rest of the day is planned anew by itself, under `plan_id` if one is given. Told a second time
    of the same stop it says more exactly why.
    """

    id: UUID
    at: Moment
    reason: Failure
    note: Aside = ""
    again_id: UUID | None = None
    plan_id: UUID | None = None


class Telling(Shape):
    """An arrival told to the owner, as an interval: a promise that plans keep.

    By mail or text message the server writes to the customer; by hand somebody has told them. `notice_id` makes the
    message the same one when this is sent again; without it the command's own id does.
    """

    id: UUID
    opens: Moment
    closes: Moment
    channel: Channel = "by_hand"
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
    failure: str
    failure_note: str
    failed_at: AwareDatetime | None
    again_of_id: UUID | None
    from_rig_id: UUID | None


# Runs


class NewRun(Shape):
    """A run made by hand: a rig on a day, no stops on it yet."""

    id: UUID
    rig_id: UUID
    day: date


class RunStamp(Shape):
    """`at` is what the device's clock said; `clock_id`: the travel clock that begins, or ends."""

    id: UUID
    at: Moment
    clock_id: UUID | None = None


class Caution(Shape):
    """Something to look at before driving, in words; `stop_id` where it is about one."""

    code: str
    words: str
    stop_id: UUID | None = None


class MarginRow(Shape):
    """What is left to one rating on one leg (0: as it leaves the yard); below zero it is passed."""

    trip: int
    leg: int
    rating: str
    limit_kg: int
    load_kg: int
    left_kg: int


class DeckRow(Shape):
    """The deck on one leg, drawn to scale. Figures are None where the trailer's were not entered."""

    trip: int
    leg: int
    words: str
    svg: str
    gross_kg: int | None
    tongue_kg: int | None
    tongue_permille: int | None
    tie_downs: int


class LegRow(Shape):
    """One drive of a run: to a stop, or home where `stop_id` is None. Four drives in five take `low` to `high`."""

    trip: int
    leg: int
    stop_id: UUID | None
    metres: int
    seconds: int
    low_seconds: int
    high_seconds: int


class RunRow(Row):
    """A run as devices see it. `margins` hold the smallest of each leg; `plan_id` is the planning that made it.

    `legs`: its drives in order, as they were figured last; those that are over by then are not in it.
    """

    rig_id: UUID
    driver_id: UUID | None
    day: date
    state: RunState
    leaves_at: AwareDatetime | None
    home_at: AwareDatetime | None
    started_at: AwareDatetime | None
    ended_at: AwareDatetime | None
    metres: int | None
    drive_seconds: int | None
    cautions: list[Caution]
    margins: list[MarginRow]
    decks: list[DeckRow]
    legs: list[LegRow]
    plan_id: UUID | None


# Hand-overs


class ConditionItem(Shape):
    """One thing looked at: `part` is a key of the list on the phone ("hood") or words typed."""

    part: Annotated[Text, Field(min_length=1, max_length=60)]
    state: Literal["good", "worn", "damaged", "missing"]
    note: Aside = ""


class MeterTold(Shape):
    """The hour meter at the hand-over, kept as a reading under its own id."""

    id: UUID
    hours: Hours
    new_segment: bool = False


class HandOverRecord(Shape):
    """A machine that changed hands, as both looked at it. `runs` None: not tried.

    `acknowledged`: the open safety items that the owner was shown, in words. `digest`: of everything here but
    `signature` and itself, as canonical JSON; a signature is put under exactly that.
    """

    id: UUID
    stop_id: UUID
    at: Moment
    condition: Annotated[list[ConditionItem], Field(max_length=60)] = []
    meter: MeterTold | None = None
    keys: Label = ""
    fuel: Fuel = "unknown"
    accessories: Aside = ""
    runs: bool | None = None
    made_safe: Annotated[list[Note], Field(max_length=20)] = []
    as_left: Annotated[list[Note], Field(max_length=20)] = []
    acknowledged: Annotated[list[Aside], Field(max_length=40)] = []
    amount_due_minor: Minor | None = None
    signer_name: Label = ""
    digest: Digest | None = None
    signature: Ink | None = None


class HandOverRow(Row):
    """A hand-over as devices see it. `matches`: the digest that was signed is that of what is kept here.

    `meter_doubt`: the meter was read "lower" than before, or more hours than went by ("too_fast").
    """

    stop_id: UUID
    job_id: UUID
    kind: StopKind
    at: AwareDatetime
    member_id: UUID | None
    condition: list[ConditionItem]
    reading_id: UUID | None
    meter_doubt: MeterDoubt
    keys: str
    fuel: str
    accessories: str
    runs: bool | None
    made_safe: list[str]
    as_left: list[str]
    acknowledged: list[str]
    amount_due_minor: int | None
    signer_name: str
    digest: str | None
    matches: bool | None
    signature_id: UUID | None


# Plannings


class NewPlan(Shape):
    """Plan one day or several. `from_now`: begin where the rigs are, keep what was told.

    A driver asks for today from now on, and for their own run.

    With `rounds` the search ends after so many and not by the clock: the same seed then gives the same plan.
    """

    id: UUID
    days: Annotated[list[date], Field(min_length=1, max_length=7)]
    seed: Annotated[int, Field(ge=0, le=2**31 - 1)] = 0
    seconds: Annotated[int, Field(ge=1, le=60)] = 5
    rounds: Annotated[int, Field(ge=1, le=100_000)] | None = None
    from_now: bool = False


class PlannedStop(Shape):
    stop_id: UUID
    trip: int
    position: int
    arrives_from: AwareDatetime
    arrives_at: AwareDatetime
    arrives_to: AwareDatetime
    starts_at: AwareDatetime
    leaves_at: AwareDatetime


class PlannedRun(Shape):
    """One run as it would be. `run_id`: a run that is there already, or the id that it gets."""

    run_id: UUID
    rig_id: UUID
    day: date
    leaves_at: AwareDatetime
    home_at: AwareDatetime
    metres: int
    drive_seconds: int
    stops: list[PlannedStop]
    cautions: list[Caution]
    margins: list[MarginRow]
    decks: list[DeckRow]
    legs: list[LegRow] = []


class RunTouched(Shape):
    """A run whose stops or their order a plan changes, and who drives it."""

    run_id: UUID
    rig_id: UUID
    day: date
    driver_id: UUID | None


class LeftOutRow(Shape):
    """A stop that no run serves: the rule that fails where it comes closest, told in words."""

    stop_id: UUID
    code: str
    words: str


class PlanAnswer(Shape):
    """A plan that has passed the check. `proven`: no better one exists. `roads`: whence the travel times come.

    `touches`: each run that it changes. Whoever may only plan their own day takes it when all of them are theirs.
    """

    runs: list[PlannedRun]
    left_out: list[LeftOutRow]
    metres: int
    proven: bool
    complete: bool
    roads: Literal["rule", "service", "fallback"]
    words: list[str]
    touches: list[RunTouched] = []


class PlanRequestRow(Row):
    """A planning as it goes: `permille` done, then its answer or why there is none. `taken_at`: made into runs.

    `driver_id`: only this member's run was planned, all others kept as they are.
    """

    asked_by_id: UUID | None
    driver_id: UUID | None
    days: list[date]
    seed: int
    seconds: int
    rounds: int | None
    from_now: bool
    cause: Cause
    state: PlanState
    permille: int
    answer: PlanAnswer | None
    error: str
    taken_at: AwareDatetime | None


# Calendars


class NewCalendar(Shape):
    """A feed of one's own runs. Its address holds a secret, of which only a hash is kept."""

    id: UUID


class CalendarAddress(Shape):
    """Whoever knows it can read the runs: for one's own calendar program, and nobody else."""

    url: str


class CalendarFeedRow(Row):
    member_id: UUID
    revoked_at: AwareDatetime | None


# Paper


class RunPrint(Shape):
    """The sheet of a run as it stands now; `id` is the printout's."""

    id: UUID
    run_id: UUID


class TagPrint(Shape):
    """A sheet of tags to stick on machines."""

    id: UUID
    machine_ids: Annotated[list[UUID], Field(min_length=1, max_length=60)]


class HandOverPrint(Shape):
    """The sheet of a signed hand-over; `id` is the printout's."""

    id: UUID
    hand_over_id: UUID


class PrintoutRow(Row):
    """Paper that was asked for: waiting, ready (then it can be read), or failed with a reason."""

    kind: Literal["run", "tags", "hand_over"]
    run_id: UUID | None
    hand_over_id: UUID | None
    machine_ids: list[UUID]
    state: Literal["waiting", "ready", "failed"]
    reason: str


# What must hold within one row


def faults_of_rig(rig: RigFields) -> list[FieldError]:
    """What of a rig contradicts itself. Twin: `faultsOfRig` in `pwa/src/domain/runs.ts`."""
    faults = []
    if rig.shift_closes <= rig.shift_opens:
        faults.append(FieldError("shift_closes", "shift_ends_first", "The shift must end after it begins."))
    if (rig.home_lat is None) != (rig.home_lon is None):
        faults.append(FieldError("home_lat", "half_a_place", "Give both coordinates of its home, or neither."))
    height = rig.deck.height_cm
    if rig.ramp_length_cm is not None and height is not None and rig.ramp_length_cm <= height:
        words = "A ramp must be longer than the deck is high, or it reaches no deck."
        faults.append(FieldError("ramp_length_cm", "ramp_too_short", words))
    for at, rest in enumerate(rig.breaks):
        if rest.closes < rest.opens:
            words = "The last moment a break may start must not lie before the first."
            faults.append(FieldError(f"breaks.{at}.closes", "break_ends_first", words))
    return faults


def faults_of_yard(yard: YardFields) -> list[FieldError]:
    """What of the yard contradicts itself."""
    faults = []
    if yard.closes <= yard.opens:
        faults.append(FieldError("closes", "yard_ends_first", "The yard must close after it opens."))
    if (yard.lat is None) != (yard.lon is None):
        faults.append(FieldError("lat", "half_a_place", "Give both coordinates of the yard, or neither."))
    if yard.tongue_high_permille <= yard.tongue_low_permille:
        words = "The upper end of the tongue's range must be above the lower."
        faults.append(FieldError("tongue_high_permille", "range_ends_first", words))
    return faults


def faults_of_stop(stop: StopFields) -> list[FieldError]:
    """What of a stop contradicts itself. Twin: `faultsOfStop` in `pwa/src/domain/runs.ts`."""
    faults = []
    for at, window in enumerate(stop.windows):
        if window.closes <= window.opens:
            words = "This window closes before it opens; give a later end."
            faults.append(FieldError(f"windows.{at}.closes", "window_ends_first", words))
    if (stop.lat is None) != (stop.lon is None):
        words = "Give both coordinates of where the machine stands, or neither."
        faults.append(FieldError("lat", "half_a_place", words))
    if stop.earliest_on and stop.wait_until and stop.wait_until < stop.earliest_on:
        words = "It cannot wait until a day before it may be made at all."
        faults.append(FieldError("wait_until", "wait_ends_first", words))
    return faults
