"""Breakdowns: the rig's run ends, and each machine on its deck is to be fetched from where the rig is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.rows import row_for
from shopapi.core.schema import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Run, Stop
from shopapi.dispatch.queries.planning_input import travel_profile_of
from shopapi.dispatch.queries.stop_facts import position_of
from shopapi.dispatch.rules.deck_state import on_deck, trip_of
from shopapi.dispatch.rules.schemas.rig import Breakdown
from shopapi.dispatch.rules.states import BEEN, OPEN_STOPS
from shopapi.dispatch.services.plan_requests import replan_today
from shopapi.dispatch.services.stops import take_off_run
from shopapi.planner.geodesics import geodesic_metres
from shopapi.planner.travel import estimate_drive

LABEL = 120


@dataclass(frozen=True)
class BreakdownPlace:
    """Where a rig broke down. Coordinates None: unknown; the new stops then ask for them."""

    lat: Decimal | None
    lon: Decimal | None
    place: str


@command(needs=Permission.DRIVE_RUNS, fact=True, rest_name="break-down")
def report_breakdown(*, actor: Actor, data: Breakdown) -> Rig:
    """Record a breakdown: the rig's run of today ends, and its remaining stops are to be planned again.

    Each machine on its deck becomes a new pickup at the place of the breakdown, for another rig. A second report
    updates what happened and where.
    """
    rig = row_for(Rig, actor, data.id)
    at = actor.instant_of(data.at)
    known = rig.out_at is not None
    rig.out_at, rig.out_note = rig.out_at or at, data.note or rig.out_note
    rig.save(update_fields=["out_at", "out_note"])
    run = queries.live_run(actor, rig.id, today(shop_of(actor).zone))
    if run is not None:
        _end_run(actor, rig, run, data, at)
    else:
        _say_where(actor, rig, data)
    record(actor, "rig broke down", ("rig", rig.id), note=data.note, at=data.at)
    if run is not None or not known:
        replan_today(actor, data.plan_id, "breakdown")
    return rig


def _end_run(actor: Actor, rig: Rig, run: Run, data: Breakdown, at: datetime) -> None:
    """Take the remaining stops off a run, and create pickups for the machines on its deck."""
    stops = queries.stops_of(run)
    if run.state == "driving":
        here = _breakdown_place(actor, data, stops)
        for stop in _stranded(actor, rig, stops, at):
            _ask_to_fetch(actor, rig, stop, here)
        run.state, run.ended_at = "done", at
    else:
        run.state = "cancelled"
    run.save(update_fields=["state", "ended_at"])
    for stop in stops:
        if stop.state in ("planned", "driving"):
            take_off_run(stop)
            stop.save()


def _stranded(actor: Actor, rig: Rig, stops: Sequence[Stop], at: datetime) -> list[Stop]:
    """The stops whose machines are on the deck, including those of a trip that is on its way home."""
    trip = trip_of(stops)
    before = [stop for stop in stops if stop.trip < trip]
    begun = any(stop.trip == trip and stop.state in BEEN for stop in stops)
    if before and not begun and at < _home_at(actor, rig, before):
        return on_deck(before)
    return on_deck(stops)


def _home_at(actor: Actor, rig: Rig, stops: Sequence[Stop]) -> datetime:
    """When a rig that left the last of these stops is back at the yard, by the upper end of the drive's interval."""
    left_at, last = max(((moment, stop) for stop in stops if (moment := stop.been_at)), key=lambda pair: pair[0])
    yard = queries.yards(actor).first()
    here = position_of(*last.stands_at)
    home = None if yard is None else position_of(yard.lat, yard.lon)
    if yard is None or here is None or home is None:
        return left_at
    drive = estimate_drive(travel_profile_of(yard), geodesic_metres(here, home), trailer=rig.trailer is not None)
    return left_at + timedelta(seconds=drive.high)


def _breakdown_place(actor: Actor, data: Breakdown, stops: Sequence[Stop]) -> BreakdownPlace:
    """The place given by the driver, else the rig's last known place."""
    if data.lat is not None and data.lon is not None:
        return BreakdownPlace(data.lat, data.lon, data.place)
    been = [(moment, stop) for stop in stops if (moment := stop.been_at)]
    if been:
        last = max(been, key=lambda pair: pair[0])[1]
        return BreakdownPlace(*last.stands_at, data.place or f"After {last.place_name}: ask the driver"[:LABEL])
    yard = queries.yards(actor).first()
    place = data.place or "Between the yard and the first stop: ask the driver"
    return BreakdownPlace(None, None, place) if yard is None else BreakdownPlace(yard.lat, yard.lon, place)


def _say_where(actor: Actor, rig: Rig, data: Breakdown) -> None:
    """Update the place of open pickups from a rig that broke down."""
    for stop in queries.stops(actor).select_for_update().filter(from_rig=rig, state__in=OPEN_STOPS):
        if data.lat is not None and data.lon is not None:
            stop.lat, stop.lon = data.lat, data.lon
        stop.place = data.place or stop.place
        stop.save(update_fields=["lat", "lon", "place"])


def _ask_to_fetch(actor: Actor, rig: Rig, stop: Stop, here: BreakdownPlace) -> None:
    made = Stop.objects.create(
        shop_id=actor.shop_id,
        job_id=stop.job_id,
        kind="pickup",
        site_id=stop.site_id,
        lat=here.lat,
        lon=here.lon,
        place=here.place,
        from_rig=rig,
        needs=stop.needs,
        priority="first",
    )
    record(actor, "stop asked for", ("stop", made.id), job=stop.job_id, kind="pickup", from_rig=rig.id)


@command(needs=Permission.DRIVE_RUNS, former_names=("mend_rig",))
def repair_rig(*, actor: Actor, data: Target) -> Rig:
    """Record that a rig runs again. It brings home what is still on its deck."""
    rig = row_for(Rig, actor, data.id)
    rig.out_at, rig.out_note = None, ""
    rig.save(update_fields=["out_at", "out_note"])
    for stop in queries.stops(actor).select_for_update().filter(from_rig=rig, state__in=("asked", "planned")):
        take_off_run(stop)
        stop.state = "dropped"
        stop.save()
        record(actor, "stop dropped", ("stop", stop.id), reason="The rig runs again.")
    record(actor, "rig repaired", ("rig", rig.id))
    return rig
