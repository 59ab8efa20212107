"""The day on the road: what happened at each stop, and what changed hands there. Facts: applied or held."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import plain
from shopapi.dispatch import queries
from shopapi.dispatch.models import DrivenLeg, HandOver, Run, Stop, Yard
from shopapi.dispatch.rules.meter import doubt_of_reading
from shopapi.dispatch.rules.records import (
    HandOverRecord,
    MeterDoubt,
    RunStamp,
    StampBack,
    StopArrival,
    StopFailure,
    StopFields,
    StopLeaving,
)
from shopapi.dispatch.rules.states import LIVE_RUNS, OPEN_STOPS, TAKEN_BACK, run_may_become, stop_may_become
from shopapi.dispatch.services.asking import own_day, plan_today_anew
from shopapi.dispatch.services.stops import free
from shopapi.jobs.rules import JobMove, Stage
from shopapi.jobs.services import move_job
from shopapi.labor import queries as labor
from shopapi.labor.rules.clock import repaired
from shopapi.labor.rules.entry import ClockStart, ClockStop, Kind
from shopapi.labor.services.clocking import start_clock, stop_clock
from shopapi.machines.queries import meter_readings
from shopapi.machines.rules import MeterRecord
from shopapi.machines.services import record_meter
from shopapi.quotes.models import Signature
from shopapi.quotes.rules import canonical, digest

# A leg longer than this was a night in between, not a drive.
LONGEST_LEG_SECONDS = 6 * 3600

Begun = tuple[datetime, Decimal, Decimal]


@command(needs=Permission.DRIVE_RUNS, fact=True)
def start_run(*, actor: Actor, data: RunStamp) -> Run:
    """Keep that a run left the yard."""
    run = queries.run_for(actor, data.id)
    if run.state in ("done", "cancelled"):
        words = f"This run is {run.state} here; look at what was driven, and put it on a new run."
        raise Conflict("run_over", words, fields=[FieldError("id", "run_over", words)])
    run.started_at = run.started_at or repaired(data.at, actor.skew_ms)
    if run_may_become(run.state, "driving"):
        run.state = "driving"
    run.save(update_fields=["state", "started_at"])
    ahead = head_for_next(run)
    _begin_travel(actor, data.clock_id, data.at, ahead)
    record(actor, "run started", ("run", run.id), at=data.at)
    return run


@command(needs=Permission.DRIVE_RUNS, fact=True)
def arrive_stop(*, actor: Actor, data: StopArrival) -> Stop:
    """Keep that somebody is at a stop; the travel clock ends."""
    stop = queries.stop_for(actor, data.id)
    if stop.run_id is None and data.run_id is not None:
        # It was taken off the run here while the driver was on the way with no signal: they were there all the same.
        run = queries.run_for(actor, data.run_id, field="run_id")
        stop.run, stop.position = run, len(queries.stops_of(run))
    stop.arrived_at = stop.arrived_at or repaired(data.at, actor.skew_ms)
    if stop_may_become(stop.state, "arrived"):
        stop.state = "arrived"
    stop.save()
    if stop.run is not None:
        _take_aim_off(stop.run, stop)
    _end_travel(actor, data.clock_id, data.at)
    record(actor, "stop reached", ("stop", stop.id), at=data.at)
    return stop


@command(needs=Permission.DRIVE_RUNS, fact=True)
def leave_stop(*, actor: Actor, data: StopLeaving) -> Stop:
    """Keep that a stop is done and the rig goes on; the travel clock begins."""
    stop = queries.stop_for(actor, data.id)
    stop.left_at = stop.left_at or repaired(data.at, actor.skew_ms)
    if stop_may_become(stop.state, "left"):
        stop.state = "left"
    stop.save()
    ahead = None
    if stop.run is not None:
        # Not on arriving: that stamp may yet be taken back, and a leg is only ever added.
        _note_leg(stop.run, stop)
        ahead = head_for_next(stop.run)
    _begin_travel(actor, data.clock_id, data.at, ahead)
    record(actor, "stop left", ("stop", stop.id), at=data.at)
    return stop


@command(needs=Permission.DRIVE_RUNS)
def take_back_stamp(*, actor: Actor, data: StampBack) -> Stop:
    """Take back the last stamp of a stop; its clocks are put right by commands of their own."""
    stop = queries.stop_for(actor, data.id)
    if stop.state != data.stamp:
        words = f"This stop is {stop.state} by now; what was stamped stays."
        raise Conflict("stamp_over", words, fields=[FieldError("stamp", "stamp_over", words)])
    stop.state = TAKEN_BACK[data.stamp]
    if data.stamp == "left":
        stop.left_at = None
    elif data.stamp == "arrived":
        stop.arrived_at = None
    else:
        _forget_failure(stop)
    if stop.state == "planned" and (stop.run is None or stop.run.state not in LIVE_RUNS):
        free(stop)
    stop.save()
    if stop.run is not None:
        if stop.state == "arrived":
            _take_aim_off(stop.run, stop)
        else:
            head_for_next(stop.run)
    record(actor, "stamp taken back", ("stop", stop.id), stamp=data.stamp)
    return stop


def _forget_failure(stop: Stop) -> None:
    """As if nobody had said that it came to nothing; the caller saves it."""
    stop.failure, stop.failure_note, stop.failed_at = "", "", None
    if stop.arrived_at is not None:
        stop.state = "arrived"
    for again in Stop.objects.filter(again_of=stop, state__in=OPEN_STOPS).select_for_update():
        free(again)
        again.state = "dropped"
        again.save()


@command(needs=Permission.DRIVE_RUNS, fact=True)
def fail_stop(*, actor: Actor, data: StopFailure) -> Stop:
    """Keep that a stop came to nothing, and why; it is asked for again as a stop of its own."""
    stop = queries.stop_for(actor, data.id)
    if stop.state == "failed":
        stop.failure, stop.failure_note = data.reason, data.note
        stop.save(update_fields=["failure", "failure_note"])
        record(actor, "stop failed", ("stop", stop.id), reason=data.reason, note=data.note)
    else:
        if not stop_may_become(stop.state, "failed"):
            words = "This stop was done and left; look at which of the two holds."
            raise Conflict("stop_over", words, fields=[FieldError("id", "stop_over", words)])
        stop.state, stop.failure, stop.failure_note = "failed", data.reason, data.note
        stop.failed_at = repaired(data.at, actor.skew_ms)
        stop.save()
        record(actor, "stop failed", ("stop", stop.id), reason=data.reason, note=data.note)
        if data.again_id is not None:
            _ask_again(actor, stop, data.again_id)
        if stop.run is not None:
            _note_leg(stop.run, stop)
            head_for_next(stop.run)
        if stop.run is not None and _is_of_today(actor, stop.run):
            own = own_day(actor)
            plan_today_anew(actor, data.plan_id, "no_show", driver_id=own if own == stop.run.driver_id else None)
    return stop


@command(needs=Permission.DRIVE_RUNS, fact=True)
def end_run(*, actor: Actor, data: RunStamp) -> Run:
    """Keep that a rig is home; what it did not get to is to be planned again."""
    run = queries.run_for(actor, data.id)
    run.ended_at = run.ended_at or repaired(data.at, actor.skew_ms)
    if run_may_become(run.state, "driving"):
        # Its start was never told; that it is home was.
        run.state = "driving"
    if run_may_become(run.state, "done"):
        run.state = "done"
    run.save(update_fields=["state", "ended_at"])
    for stop in queries.stops_of(run):
        if stop.state in ("planned", "driving"):
            free(stop)
            stop.save()
    _end_travel(actor, data.clock_id, data.at)
    record(actor, "run ended", ("run", run.id), at=data.at)
    return run


def head_for_next(run: Run) -> Stop | None:
    """Let the first stop of a driving run that nobody has been to be the one that is driven to."""
    if run.state != "driving":
        return None
    ahead = [stop for stop in queries.stops_of(run) if stop.state in ("planned", "driving")]
    for at, stop in enumerate(ahead):
        state = "driving" if at == 0 else "planned"
        if stop.state != state:
            stop.state = state
            stop.save(update_fields=["state"])
    return ahead[0] if ahead else None


def _take_aim_off(run: Run, reached: Stop) -> None:
    """Another stop was reached than the one that was driven to."""
    for stop in queries.stops_of(run):
        if stop.id != reached.id and stop.state == "driving":
            stop.state = "planned"
            stop.save(update_fields=["state"])


def _is_of_today(actor: Actor, run: Run) -> bool:
    """Whether what happens to a run changes the day that is still going on. What comes from a phone may be old."""
    return run.state in LIVE_RUNS and run.day == today(shop_of(actor).zone)


def _ask_again(actor: Actor, stop: Stop, again_id: UUID) -> Stop:
    refuse_known_id(Stop, again_id)
    kept = {name: getattr(stop, name) for name in StopFields.model_fields}
    return Stop.objects.create(
        id=again_id,
        shop_id=actor.shop_id,
        job_id=stop.job_id,
        kind=stop.kind,
        pin_rig_id=stop.pin_rig_id,
        again_of=stop,
        from_rig_id=stop.from_rig_id,
        **kept,
    )


# What follows of the stamps: clocks, and how long legs take


def _begin_travel(actor: Actor, clock_id: UUID | None, at: datetime, ahead: Stop | None) -> None:
    if clock_id is not None:
        job_id = None if ahead is None else ahead.job_id
        start_clock.within(actor=actor, data=ClockStart(id=clock_id, kind=Kind.TRAVEL, job_id=job_id, started_at=at))


def _end_travel(actor: Actor, clock_id: UUID | None, at: datetime) -> None:
    if clock_id is not None and labor.time_entries(actor).filter(id=clock_id).exists():
        stop_clock.within(actor=actor, data=ClockStop(id=clock_id, ended_at=at))


def _note_leg(run: Run, stop: Stop) -> None:
    """Keep how long the leg to a stop took, where both of its ends and times are known."""
    begun = _begin_of_leg(run, stop)
    to_lat, to_lon = stop.stands_at
    if begun is None or to_lat is None or to_lon is None or stop.arrived_at is None:
        return
    left_at, lat, lon = begun
    seconds = round((stop.arrived_at - left_at).total_seconds())
    if not 0 < seconds <= LONGEST_LEG_SECONDS:
        return
    figures = {"from_lat": lat, "from_lon": lon, "to_lat": to_lat, "to_lon": to_lon}
    DrivenLeg.objects.get_or_create(
        shop_id=run.shop_id, run=run, stop=stop, defaults={**figures, "left_at": left_at, "seconds": seconds}
    )


def _begin_of_leg(run: Run, stop: Stop) -> Begun | None:
    """When and where the leg to a stop began: at the stop left last, or where the rig started. None: not known."""
    left = [(one.left_at, one) for one in queries.stops_of(run) if one.left_at is not None and one.id != stop.id]
    if left:
        left_at, last = max(left, key=lambda pair: pair[0])
        # Another trip begins by way of the yard.
        return _from(left_at, *last.stands_at) if last.trip == stop.trip else None
    yard = Yard.objects.filter(shop=run.shop_id).first()
    return _from(run.started_at, run.rig.home_lat, run.rig.home_lon) or (
        None if yard is None else _from(run.started_at, yard.lat, yard.lon)
    )


def _from(left_at: datetime | None, lat: Decimal | None, lon: Decimal | None) -> Begun | None:
    return None if left_at is None or lat is None or lon is None else (left_at, lat, lon)


# Hand-overs


@command(needs=Permission.DRIVE_RUNS, fact=True)
def hand_over(*, actor: Actor, data: HandOverRecord) -> HandOver:
    """Keep how a machine was when it changed hands, with the ink put under it."""
    refuse_known_id(HandOver, data.id)
    stop = queries.stop_for(actor, data.stop_id, field="stop_id")
    doubt = _note_meter(actor, stop, data)
    told = data.model_dump(include=KEPT)
    made = HandOver.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        stop=stop,
        job_id=stop.job_id,
        kind=stop.kind,
        at=repaired(data.at, actor.skew_ms),
        member_id=actor.member_id,
        condition=plain(data.condition),
        reading_id=None if data.meter is None else data.meter.id,
        meter_doubt=doubt,
        matches=None if data.digest is None else data.digest == digest_of(data),
        signature=_keep_ink(actor, data),
        **told,
    )
    if stop.kind == "return" and stop.job.stage == Stage.READY:
        move_job.within(actor=actor, data=JobMove(id=stop.job_id, stage=Stage.RETURNED))
    record(actor, "machine handed over", ("stop", stop.id), hand_over=made.id, doubt=doubt, matches=made.matches)
    return made


KEPT = {
    "keys",
    "fuel",
    "accessories",
    "runs",
    "made_safe",
    "as_left",
    "acknowledged",
    "amount_due_minor",
    "signer_name",
    "digest",
}


def digest_of(data: HandOverRecord) -> str:
    """What a signature is put under: everything told but the ink and the digest itself."""
    return digest(canonical(data.model_dump(mode="json", exclude={"signature", "digest"})))


def _keep_ink(actor: Actor, data: HandOverRecord) -> Signature | None:
    if data.signature is None:
        return None
    refuse_known_id(Signature, data.signature.id)
    return Signature.objects.create(
        shop_id=actor.shop_id,
        signer_name=data.signer_name,
        digest=data.digest or digest_of(data),
        **data.signature.model_dump(),
    )


def _note_meter(actor: Actor, stop: Stop, data: HandOverRecord) -> MeterDoubt:
    if data.meter is None:
        return ""
    on = data.at.astimezone(ZoneInfo(shop_of(actor).zone)).date()
    machine_id = stop.job.machine_id
    last = meter_readings(actor).filter(machine=machine_id).order_by("segment", "read_on", "id").last()
    record_meter.within(
        actor=actor,
        data=MeterRecord(
            id=data.meter.id,
            machine_id=machine_id,
            hours=data.meter.hours,
            read_on=on,
            new_segment=data.meter.new_segment,
        ),
    )
    if data.meter.new_segment or last is None:
        return ""
    return doubt_of_reading(data.meter.hours, on, last.hours, last.read_on)
