"""The demo shop's yard, rigs and stops: a driven run, today's plan, tomorrow's stops. All invented."""

from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.core import clock
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import request_plan
from shopapi.dispatch.services.rigs import add_rig, set_up_yard
from shopapi.dispatch.services.run_progress import arrive_stop, end_run, leave_stop, start_run
from shopapi.dispatch.services.stops import ask_stop, move_stop, open_run
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Stage
from shopapi.machines.services import edit_machine

YARD = {"lat": "40.3066", "lon": "-98.4389"}
RIGS: tuple[dict[str, Any], ...] = (
    {
        "name": "Old Blue and the tilt trailer",
        "payload_kg": 1400,
        "deck": {"length_cm": 430, "width_cm": 200, "height_cm": 50, "slots": 2, "lanes": 1},
        "trailer": {
            "empty_kg": 520,
            "tongue_kg": 62,
            "axle_cm": 360,
            "deck_cm": 125,
            "axles": 1,
            "track_cm": 190,
            "gvwr_kg": 2000,
            "gawr_kg": 1900,
            "tires_kg": 2000,
            "coupler_kg": 2270,
        },
        "truck": {
            "ready_kg": 2500,
            "gvwr_kg": 3200,
            "gcwr_kg": 5800,
            "hitch_kg": 2270,
            "hitch_tongue_kg": 227,
            "ball_kg": 2720,
        },
        "winch": True,
        "ramp_length_cm": 220,
        "ramp_full_width": True,
        "straps": 10,
        "breaks": [{"opens": "11:30", "closes": "13:00", "minutes": 30}],
    },
    {
        "name": "The van",
        "payload_kg": 350,
        "deck": {"length_cm": 240, "width_cm": 130, "height_cm": 60, "slots": 2, "lanes": 1},
        "crew": 2,
        "ramp_length_cm": 240,
        "straps": 6,
        "shift_opens": "08:00",
        "shift_closes": "15:30",
    },
)
# Mass and size of a machine by a word in its kind; the first match counts.
SIZES: tuple[tuple[str, dict[str, int]], ...] = (
    ("garden tractor", {"mass_kg": 390, "length_cm": 190, "width_cm": 125, "wheelbase_cm": 125, "clearance_cm": 14}),
    ("lawn tractor", {"mass_kg": 215, "length_cm": 178, "width_cm": 112, "wheelbase_cm": 122, "clearance_cm": 9}),
    ("zero", {"mass_kg": 310, "length_cm": 195, "width_cm": 135, "wheelbase_cm": 125, "clearance_cm": 10}),
    ("tractor", {"mass_kg": 820, "length_cm": 280, "width_cm": 140, "wheelbase_cm": 160, "clearance_cm": 24}),
    ("splitter", {"mass_kg": 250, "length_cm": 210, "width_cm": 100}),
    ("chipper", {"mass_kg": 180, "length_cm": 190, "width_cm": 90}),
    ("mower", {"mass_kg": 45, "length_cm": 165, "width_cm": 60}),
    ("", {"mass_kg": 70, "length_cm": 130, "width_cm": 65}),
)
KIND_OF = {Stage.READY: "return", Stage.INTAKE: "pickup", Stage.DIAGNOSIS: "visit"}
MOST_STOPS = 12
# The search of today's plan is limited by rounds and not by time, so that every load gives the same plan.
ROUNDS = 60

Do = Callable[..., Any]
Named = Callable[[str, str, datetime], UUID]


def create_runs(do: Do, named: Named, *, shop_id: UUID, drivers: Sequence[UUID], zone: ZoneInfo, today: date) -> None:
    """Create rigs and stops by commands alone: `do(who, command, **arguments)`; `named` gives stable ids.

    `drivers`: who drives each of the `RIGS`.
    """
    past = today - timedelta(days=3)
    begun = datetime.combine(past, time(7, 30), zone)
    placed = Job.objects.filter(shop=shop_id, site__lat__isnull=False).exclude(stage=Stage.CANCELLED)
    jobs = list(placed.order_by("-opened_at", "id"))
    with clock.held_at(begun):
        do("owner", set_up_yard, id=named("yard", "yard", begun), **YARD)
        rigs = [
            do("owner", add_rig, id=named("rig", rig["name"], begun), **rig, driver_id=driver).id
            for rig, driver in zip(RIGS, drivers, strict=True)
        ]
    _drive(do, named, rigs[0], [job for job in jobs if job.stage == Stage.REPAIR][:2], begun)
    evening = datetime.combine(today - timedelta(days=1), time(17, 40), zone)
    with clock.held_at(evening):
        asked = [job for job in jobs if job.stage in KIND_OF][:MOST_STOPS]
        # Alternating, so that both days have some of each kind.
        pair = False
        for number, job in enumerate(asked):
            _measure(do, job)
            day = today if number % 2 == 0 else today + timedelta(days=1)
            kind = KIND_OF[Stage(job.stage)]
            # One of today's stops needs the van with its crew of two.
            needs = ["two_people"] if kind == "visit" and day == today and not pair else []
            pair = pair or bool(needs)
            stop_id = named("stop", f"{job.mark}/asked", evening)
            do("office", ask_stop, id=stop_id, job_id=job.id, kind=kind, earliest_on=day, needs=needs)
        for rig_id in rigs:
            do("office", open_run, id=named("run", f"{rig_id}/today", evening), rig_id=rig_id, day=today)
        _plan(do, shop_id, named("plan", "today", evening), today)


def _plan(do: Do, shop_id: UUID, plan_id: UUID, today: date) -> None:
    """Plan today with the product's planner; runs that nothing is planned on are deleted."""
    do("office", request_plan, id=plan_id, days=[today], rounds=ROUNDS)
    execute_plan_request(shop_id=shop_id, plan_id=plan_id)
    do("office", take_plan, id=plan_id)


def _measure(do: Do, job: Job) -> None:
    size = next(size for word, size in SIZES if word in job.machine.kind)
    if job.machine.mass_kg is None:
        do("office", edit_machine, id=job.machine_id, base=dict.fromkeys(size), set=size)


def _drive(do: Do, named: Named, rig_id: UUID, jobs: list[Job], begun: datetime) -> None:
    """Drive a run with two pickups, by the phone's commands."""
    run_id = named("run", "driven", begun)
    with clock.held_at(begun):
        do("mechanic", open_run, id=run_id, rig_id=rig_id, day=begun.date())
        stops = []
        for place, job in enumerate(jobs):
            stop_id = named("stop", f"{job.mark}/driven", begun)
            do("office", ask_stop, id=stop_id, job_id=job.id, kind="pickup")
            do("mechanic", move_stop, id=stop_id, run_id=run_id, trip=0, position=place)
            stops.append(stop_id)
        do("mechanic", start_run, id=run_id, at=begun)
    at = begun
    for stop_id in stops:
        at += timedelta(minutes=17)
        with clock.held_at(at):
            do("mechanic", arrive_stop, id=stop_id, at=at, run_id=run_id)
            do(
                "mechanic",
                hand_over,
                id=named("hand_over", str(stop_id), at),
                stop_id=stop_id,
                at=at,
                condition=[{"part": "hood", "state": "worn", "note": "Sun-bleached"}],
                keys="One",
                fuel="low",
                runs=False,
                made_safe=["key_out", "parking_brake", "fuel_off"],
            )
        at += timedelta(minutes=14)
        with clock.held_at(at):
            do("mechanic", leave_stop, id=stop_id, at=at)
    at += timedelta(minutes=21)
    with clock.held_at(at):
        do("mechanic", end_run, id=run_id, at=at)
