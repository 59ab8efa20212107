"""Events on the road: starts, arrivals, departures, failures. Facts: applied or held."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.dispatch import queries
from shopapi.dispatch.models import DrivenLeg, Run, Stop, Yard
from shopapi.dispatch.rules.schemas.run import RunStamp
from shopapi.dispatch.rules.schemas.stop import StampBack, StopArrival, StopFailure, StopFields, StopLeaving
from shopapi.dispatch.rules.states import LIVE_RUNS, OPEN_STOPS, TAKEN_BACK, run_may_become, stop_may_become
from shopapi.dispatch.services.plan_requests import own_run_driver, replan_today
from shopapi.dispatch.services.stops import take_off_run
from shopapi.labor import queries as labor
from shopapi.labor.rules.entry import ClockStart, ClockStop, EntryKind
from shopapi.labor.services.clock import start_clock, stop_clock

# A longer leg is not recorded: it includes a night.
LONGEST_LEG_SECONDS = 6 * 3600

LegStart = tuple[datetime, Decimal, Decimal]


@command(needs=Permission.DRIVE_RUNS, fact=True)
def start_run(*, actor: Actor, data: RunStamp) -> Run:
    """Record that a run left the yard."""
    run = row_for(Run, actor, data.id)
    if run.state in ("done", "cancelled"):
        raise Conflict(
            "run_over",
            fields=[FieldError("id", "run_over", context={"state": run.state})],
            context={"state": run.state},
        )
    run.started_at = run.started_at or actor.instant_of(data.at)
    if run_may_become(run.state, "driving"):
        run.state = "driving"
    run.save(update_fields=["state", "started_at"])
    ahead = set_current_stop(run)
    _begin_travel(actor, data.clock_id, data.at, ahead)
    record(actor, "run started", ("run", run.id), at=data.at, day=run.day)
    return run


@command(needs=Permission.DRIVE_RUNS, fact=True)
def arrive_stop(*, actor: Actor, data: StopArrival) -> Stop:
    """Record the arrival at a stop; the travel clock stops."""
    stop = row_for(Stop, actor, data.id)
    if stop.run_id is None and data.run_id is not None:
        # The stop was taken off the run while the driver was on the way without signal; the arrival still counts.
        run = row_for(Run, actor, data.run_id, field="run_id")
        stop.run, stop.position = run, len(queries.stops_of(run))
    stop.arrived_at = stop.arrived_at or actor.instant_of(data.at)
    if stop_may_become(stop.state, "arrived"):
        stop.state = "arrived"
    stop.save()
    if stop.run is not None:
        _clear_current_stop(stop.run, stop)
    _end_travel(actor, data.clock_id, data.at)
    record(actor, "stop reached", ("stop", stop.id), at=data.at)
    return stop


@command(needs=Permission.DRIVE_RUNS, fact=True)
def leave_stop(*, actor: Actor, data: StopLeaving) -> Stop:
    """Record the departure from a stop; the travel clock starts."""
    stop = row_for(Stop, actor, data.id)
    stop.left_at = stop.left_at or actor.instant_of(data.at)
    if stop_may_become(stop.state, "left"):
        stop.state = "left"
    stop.save()
    ahead = None
    if stop.run is not None:
        # Not at the arrival, since that stamp can be undone and legs are never deleted.
        _record_leg(stop.run, stop)
        ahead = set_current_stop(stop.run)
    _begin_travel(actor, data.clock_id, data.at, ahead)
    record(actor, "stop left", ("stop", stop.id), at=data.at)
    return stop


@command(needs=Permission.DRIVE_RUNS, rest_name="take-back")
def take_back_stamp(*, actor: Actor, data: StampBack) -> Stop:
    """Undo the last stamp of a stop; its clocks are corrected by separate commands."""
    stop = row_for(Stop, actor, data.id)
    if stop.state != data.stamp:
        raise Conflict(
            "stamp_over",
            fields=[FieldError("stamp", "stamp_over", context={"state": stop.state})],
            context={"state": stop.state},
        )
    stop.state = TAKEN_BACK[data.stamp]
    if data.stamp == "left":
        stop.left_at = None
    elif data.stamp == "arrived":
        stop.arrived_at = None
    else:
        _forget_failure(stop)
    if stop.state == "planned" and (stop.run is None or stop.run.state not in LIVE_RUNS):
        take_off_run(stop)
    stop.save()
    if stop.run is not None:
        if stop.state == "arrived":
            _clear_current_stop(stop.run, stop)
        else:
            set_current_stop(stop.run)
    record(actor, "stamp taken back", ("stop", stop.id), stamp=data.stamp)
    return stop


def _forget_failure(stop: Stop) -> None:
    """Clear the fields of a failure; the caller saves."""
    stop.failure, stop.failure_note, stop.failed_at = "", "", None
    if stop.arrived_at is not None:
        stop.state = "arrived"
    for again in Stop.objects.filter(again_of=stop, state__in=OPEN_STOPS).select_for_update():
        take_off_run(again)
        again.state = "dropped"
        again.save()


@command(needs=Permission.DRIVE_RUNS, fact=True)
def fail_stop(*, actor: Actor, data: StopFailure) -> Stop:
    """Record that a stop failed, and why; it is repeated as a new stop."""
    stop = row_for(Stop, actor, data.id)
    if stop.state == "failed":
        stop.failure, stop.failure_note = data.reason, data.note
        stop.save(update_fields=["failure", "failure_note"])
        record(actor, "stop failed", ("stop", stop.id), reason=data.reason, note=data.note)
    else:
        if not stop_may_become(stop.state, "failed"):
            raise Conflict(
                "stop_over", message="stop_done", fields=[FieldError("id", "stop_over", message="stop_done")]
            )
        stop.state, stop.failure, stop.failure_note = "failed", data.reason, data.note
        stop.failed_at = actor.instant_of(data.at)
        stop.save()
        record(actor, "stop failed", ("stop", stop.id), reason=data.reason, note=data.note)
        if data.again_id is not None:
            _ask_again(actor, stop, data.again_id)
        if stop.run is not None:
            _record_leg(stop.run, stop)
            set_current_stop(stop.run)
        if stop.run is not None and _is_of_today(actor, stop.run):
            own = own_run_driver(actor)
            replan_today(actor, data.plan_id, "no_show", driver_id=own if own == stop.run.driver_id else None)
    return stop


@command(needs=Permission.DRIVE_RUNS, fact=True)
def end_run(*, actor: Actor, data: RunStamp) -> Run:
    """Record that a rig is back; stops that it did not reach are to be planned again."""
    run = row_for(Run, actor, data.id)
    run.ended_at = run.ended_at or actor.instant_of(data.at)
    if run_may_become(run.state, "driving"):
        # The start was never reported, but the rig is back.
        run.state = "driving"
    if run_may_become(run.state, "done"):
        run.state = "done"
    run.save(update_fields=["state", "ended_at"])
    for stop in queries.stops_of(run):
        if stop.state in ("planned", "driving"):
            take_off_run(stop)
            stop.save()
    _end_travel(actor, data.clock_id, data.at)
    record(actor, "run ended", ("run", run.id), at=data.at)
    return run


def set_current_stop(run: Run) -> Stop | None:
    """Mark the first unvisited stop of a driving run as the one being driven to."""
    if run.state != "driving":
        return None
    ahead = [stop for stop in queries.stops_of(run) if stop.state in ("planned", "driving")]
    for at, stop in enumerate(ahead):
        state = "driving" if at == 0 else "planned"
        if stop.state != state:
            stop.state = state
            stop.save(update_fields=["state"])
    return ahead[0] if ahead else None


def _clear_current_stop(run: Run, reached: Stop) -> None:
    """Unmark the stop that was being driven to, when another one was reached."""
    for stop in queries.stops_of(run):
        if stop.id != reached.id and stop.state == "driving":
            stop.state = "planned"
            stop.save(update_fields=["state"])


def _is_of_today(actor: Actor, run: Run) -> bool:
    """Whether a run is of today. Commands from a phone may be old, and then nothing is planned again."""
    return run.state in LIVE_RUNS and run.day == today(shop_of(actor).zone)


def _ask_again(actor: Actor, stop: Stop, again_id: UUID) -> Stop:
    refuse_known_id(Stop, again_id)
    kept = {name: getattr(stop, name) for name in StopFields.model_fields}
    return Stop.objects.create(
        id=again_id,
        shop_id=actor.shop_id,
        job_id=stop.job_id,
        kind=stop.kind,
        supplier_id=stop.supplier_id,
        pin_rig_id=stop.pin_rig_id,
        again_of=stop,
        from_rig_id=stop.from_rig_id,
        **kept,
    )


# Consequences of the stamps: clocks and driven legs


def _begin_travel(actor: Actor, clock_id: UUID | None, at: datetime, ahead: Stop | None) -> None:
    if clock_id is not None:
        job_id = None if ahead is None else ahead.job_id
        start_clock.within(
            actor=actor, data=ClockStart(id=clock_id, kind=EntryKind.TRAVEL, job_id=job_id, started_at=at)
        )


def _end_travel(actor: Actor, clock_id: UUID | None, at: datetime) -> None:
    if clock_id is not None and labor.time_entries(actor).filter(id=clock_id).exists():
        stop_clock.within(actor=actor, data=ClockStop(id=clock_id, ended_at=at))


def _record_leg(run: Run, stop: Stop) -> None:
    """Record how long the leg to a stop took, if both places and times are known."""
    begun = _leg_start(run, stop)
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


def _leg_start(run: Run, stop: Stop) -> LegStart | None:
    """When and where the leg to a stop began: at the last stop, or where the rig started. None: unknown."""
    left = [(one.left_at, one) for one in queries.stops_of(run) if one.left_at is not None and one.id != stop.id]
    if left:
        left_at, last = max(left, key=lambda pair: pair[0])
        # A new trip begins at the yard.
        return _from(left_at, *last.stands_at) if last.trip == stop.trip else None
    yard = Yard.objects.filter(shop=run.shop_id).first()
    return _from(run.started_at, run.rig.home_lat, run.rig.home_lon) or (
        None if yard is None else _from(run.started_at, yard.lat, yard.lon)
    )


def _from(left_at: datetime | None, lat: Decimal | None, lon: Decimal | None) -> LegStart | None:
    return None if left_at is None or lat is None or lon is None else (left_at, lat, lon)
