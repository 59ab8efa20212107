"""The facts of stops that a plan is made from, from the rows of their jobs, sites and suppliers."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import cast
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, Sum

from shopapi.accounts.rules import WEEK_DAYS
from shopapi.core.actor import Actor
from shopapi.core.errors import Reason
from shopapi.core.schema import parse
from shopapi.core.units import exact_or_none
from shopapi.dispatch import queries
from shopapi.dispatch.models import Stop, Yard
from shopapi.dispatch.rules.planning_model import FETCH_MINUTES, MachineSize, PlanningStop
from shopapi.dispatch.rules.schemas.stop import Need, Priority, StopKind
from shopapi.dispatch.rules.schemas.yard import LearnedTimes
from shopapi.dispatch.rules.states import OPEN_STOPS
from shopapi.jobs.rules import Stage
from shopapi.machines.models import Machine
from shopapi.parts.models import Supplier
from shopapi.planner.arrival import USUAL_WORK, WorkSpread
from shopapi.planner.geodesics import Position
from shopapi.quotes.models import Line

# With at least this many past stops of a kind, their times replace the setting.
ENOUGH_STOPS = 5
LONGEST_STOP = 720
# A supplier that is closed on the planned days is open again within these.
A_WEEK = timedelta(days=7)


def stop_facts(
    actor: Actor, stops: Sequence[Stop], yard: Yard, days: Sequence[date], zone: ZoneInfo
) -> dict[UUID, PlanningStop]:
    """The facts of these stops by id, for a plan of these days."""
    hours = agreed_hours([stop.job_id for stop in stops if stop.job_id and stop.kind == "visit"])
    stranded = _stranded(actor)
    return {
        stop.id: replace(
            _stop_facts(stop, _minutes(stop, yard, hours), _windows(stop, days, zone), _why_it_waits(stop, stranded)),
            work=_work_of(stop, yard),
        )
        for stop in stops
    }


def _stranded(actor: Actor) -> dict[UUID, str]:
    """By job: the broken-down rig that its machine is on, while the machine is not at the shop yet."""
    to_fetch = queries.stops(actor).filter(from_rig__isnull=False)
    away = to_fetch.filter(Q(state__in=OPEN_STOPS) | Q(state__in=("arrived", "left"), run__state="driving"))
    return dict(away.values_list("job_id", "from_rig__name"))


def agreed_hours(job_ids: Collection[UUID]) -> dict[UUID, Decimal]:
    """The hours of labor that the customer of each job has agreed to; drafts and offers nobody decided do not count."""
    lines = Line.objects.filter(
        quote__job__in=list(job_ids),
        kind="labor",
        hours__isnull=False,
        quote__state="decided",
        decided="accepted",
    )
    return dict(lines.values_list("quote__job").annotate(hours=Sum("hours")).values_list("quote__job", "hours"))


def _minutes(stop: Stop, yard: Yard, hours: Mapping[UUID, Decimal]) -> int:
    if stop.service_minutes is not None:
        return stop.service_minutes
    if stop.supplier is not None:
        return stop.supplier.stop_minutes or FETCH_MINUTES
    if stop.job_id and stop.kind == "visit" and (agreed := hours.get(stop.job_id)):
        return max(1, min(LONGEST_STOP, round(agreed * 60)))
    learned = parse(LearnedTimes, yard.learned)
    (minutes, count), usual = {
        "pickup": ((learned.pickup_minutes, learned.pickup_count), yard.pickup_minutes),
        "return": ((learned.return_minutes, learned.return_count), yard.return_minutes),
        "visit": ((learned.visit_minutes, learned.visit_count), yard.visit_minutes),
    }[stop.kind]
    return minutes if minutes is not None and count >= ENOUGH_STOPS else usual


def _work_of(stop: Stop, yard: Yard) -> WorkSpread:
    """The spread of work times around the planned ones: from the shop's own stops once there are enough."""
    learned = parse(LearnedTimes, yard.learned)
    permille = (
        None
        if stop.supplier_id
        else {
            "pickup": learned.pickup_spread_permille,
            "return": learned.return_spread_permille,
            "visit": learned.visit_spread_permille,
        }[stop.kind]
    )
    return USUAL_WORK if permille is None else WorkSpread(1.0, permille / 1000)


def _windows(stop: Stop, days: Sequence[date], zone: ZoneInfo) -> tuple[tuple[datetime, datetime], ...]:
    """When work may begin: the times of the stop itself, else the hours of its supplier; empty: at any time."""
    own = tuple((datetime.fromisoformat(one["opens"]), datetime.fromisoformat(one["closes"])) for one in stop.windows)
    return own if own or stop.supplier is None else opening_times(stop.supplier, days, zone)


def opening_times(supplier: Supplier, days: Sequence[date], zone: ZoneInfo) -> tuple[tuple[datetime, datetime], ...]:
    """When a supplier is open from the first of these days until a week after the last; empty: not known, so always."""
    if not supplier.opens and not supplier.open_on:
        return ()
    opens = time.fromisoformat(supplier.opens or "00:00")
    closes = time.fromisoformat(supplier.closes or "23:59")
    span = (days[-1] + A_WEEK - days[0]).days + 1
    return tuple(
        (datetime.combine(day, opens, zone), datetime.combine(day, closes, zone))
        for day in (days[0] + timedelta(days=at) for at in range(span))
        if not supplier.open_on or WEEK_DAYS[day.weekday()] in supplier.open_on
    )


def _label(stop: Stop) -> str:
    return stop.place_name if stop.job is None else f"{stop.job} {stop.job.machine.kind}"


def _place(stop: Stop) -> str:
    place = stop.place or stop.place_name
    return place if stop.job is None else f"{stop.job.customer.name}, {place}"


def _size(machine: Machine) -> MachineSize:
    return MachineSize(
        exact_or_none(machine.mass_kg, machine.mass_typed),
        exact_or_none(machine.length_cm, machine.length_typed),
        exact_or_none(machine.width_cm, machine.width_typed),
        exact_or_none(machine.wheelbase_cm, machine.wheelbase_typed),
        exact_or_none(machine.clearance_cm, machine.clearance_typed),
        machine.tie_points,
    )


def _stop_facts(
    stop: Stop, minutes: int, windows: tuple[tuple[datetime, datetime], ...], waits: Reason | None
) -> PlanningStop:
    promise = None if stop.notified_from is None or stop.notified_to is None else (stop.notified_from, stop.notified_to)
    return PlanningStop(
        key=str(stop.id),
        label=_label(stop),
        kind=cast("StopKind", stop.kind),
        site=place_key(stop),
        place=_place(stop),
        position=position_of(*stop.stands_at),
        windows=windows,
        minutes=minutes,
        needs=tuple(cast("Need", need) for need in stop.needs),
        priority=cast("Priority", stop.priority),
        earliest_on=stop.earliest_on,
        promised_on=stop.promised_on,
        wait_until=stop.wait_until,
        by_daylight=stop.by_daylight,
        pin_rig=None if stop.pin_rig_id is None else str(stop.pin_rig_id),
        pin_at=stop.pin_at,
        pin_after=None if stop.pin_after_id is None else str(stop.pin_after_id),
        promise=promise,
        size=MachineSize() if stop.job is None else _size(stop.job.machine),
        waits=waits,
        within_m=_within_m(stop),
    )


def _within_m(stop: Stop) -> int:
    """How far from its position the site may be; a position of the stop's own is taken as it is."""
    site = stop.site
    return (site.position_within_m or 0) if site and stop.stands_at == (site.lat, site.lon) else 0


def place_key(stop: Stop) -> str:
    """Stops at one site or supplier share a place; a machine with its own coordinates is a separate place."""
    place = stop.goes_to
    return str(place.id if stop.stands_at == (place.lat, place.lon) else stop.id)


def _why_it_waits(stop: Stop, stranded: Mapping[UUID, str]) -> Reason | None:
    job = stop.job
    if job is None or stop.kind != "return":
        return None
    if job.id in stranded:
        return Reason("machine_stranded", {"job": str(job), "rig": stranded[job.id]})
    if job.stage in (Stage.READY, Stage.RETURNED, Stage.CANCELLED):
        return None
    return Reason("job_not_ready", {"job": str(job), "stage": job.stage})


def position_of(lat: Decimal | None, lon: Decimal | None) -> Position | None:
    return None if lat is None or lon is None else Position(float(lat), float(lon))
