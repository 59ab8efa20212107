"""Rigs, runs and stops, created by the phone's commands."""

from datetime import timedelta
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.dispatch.services.calendars import open_calendar
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.plan_requests import request_plan
from shopapi.dispatch.services.printouts import print_run
from shopapi.dispatch.services.rigs import add_rig, set_up_yard
from shopapi.dispatch.services.stops import ask_stop, move_stop, open_run
from tests.factories import work
from tests.factories.work import do, made

# A yard in the middle of the counted country around the demo shop's town.
YARD = {"lat": "40.3000", "lon": "-98.4400"}


def tomorrow() -> str:
    return (now() + timedelta(days=2)).date().isoformat()


def a_yard(actor: Actor, **more: object) -> UUID:
    return made(actor, set_up_yard, **{"id": uuid7(), **YARD, **more})


def a_rig(actor: Actor, **more: object) -> UUID:
    """A truck with a 1.5 t trailer, two slots and a ramp; no ratings entered."""
    defaults = {
        "id": uuid7(),
        "name": "Blue truck",
        "payload_kg": 1500,
        "deck": {"length_cm": 500, "width_cm": 200, "height_cm": 50, "slots": 2},
        "ramp_length_cm": 240,
    }
    return made(actor, add_rig, **{**defaults, **more})


def a_stop(actor: Actor, job_id: UUID | None = None, **more: object) -> UUID:
    """A pickup, by default of a new job at a site with a position."""
    if job_id is None:
        customer = work.a_customer(actor)
        job_id = work.a_job(actor, customer_id=customer, site_id=work.a_site(actor, customer))
    return made(actor, ask_stop, **{"id": uuid7(), "job_id": job_id, "kind": "pickup", **more})


def a_run(actor: Actor, rig_id: UUID, *stop_ids: UUID, **more: object) -> UUID:
    """A run planned by hand, the day after tomorrow, with these stops in this order."""
    run_id = made(actor, open_run, **{"id": uuid7(), "rig_id": rig_id, "day": tomorrow(), **more})
    for position, stop_id in enumerate(stop_ids):
        do(actor, move_stop, id=stop_id, run_id=run_id, trip=0, position=position)
    return run_id


def a_day_out(actor: Actor, job_id: UUID, site_id: UUID) -> dict[str, UUID]:
    """One of each resource of dispatch, by its name on REST."""
    rig = a_rig(actor)
    stop = a_stop(actor, job_id, site_id=site_id)
    run = a_run(actor, rig, stop)
    return {
        "yards": a_yard(actor),
        "rigs": rig,
        "stops": stop,
        "runs": run,
        "hand-overs": do(actor, hand_over, id=uuid7(), stop_id=stop, at=now(), keys="One").id,
        "printouts": do(actor, print_run, id=uuid7(), run_id=run).id,
        "calendar-feeds": do(actor, open_calendar, id=uuid7()).id,
        "plan-requests": do(actor, request_plan, id=uuid7(), days=[tomorrow()]).id,
    }
