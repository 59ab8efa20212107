"""The yard, its rigs, and what happens when one breaks down."""

from typing import TypeVar

from shopapi.accounts.models import Member
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Edit, Shape, Target, decode, plain
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Run, Yard
from shopapi.dispatch.rules.records import (
    Breakdown,
    NewRig,
    NewYard,
    RigFields,
    YardFields,
    faults_of_rig,
    faults_of_yard,
)
from shopapi.dispatch.services.asking import plan_today_anew
from shopapi.dispatch.services.stops import free
from shopapi.labor.rules.clock import repaired

S = TypeVar("S", bound=Shape)


@command(needs=Permission.PLAN_RUNS)
def set_up_yard(*, actor: Actor, data: NewYard) -> Yard:
    """Say where runs begin and end. A shop has one yard."""
    refuse_known_id(Yard, data.id)
    if queries.yards(actor).exists():
        words = "This shop has a yard already; change that one."
        raise Conflict("yard_exists", words, fields=[FieldError("id", "yard_exists", words)])
    _refuse_faults(faults_of_yard(data))
    yard = Yard.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "yard set up", ("yard", yard.id))
    return yard


@command(needs=Permission.PLAN_RUNS)
def edit_yard(*, actor: Actor, data: Edit) -> Yard:
    """Change where runs begin, or how this shop drives and works."""
    yard = queries.yard_for(actor, data.id)
    _refuse_faults(faults_of_yard(_whole(yard, data, YardFields)))
    return edit_row(actor=actor, kind="yard", row=yard, edit=data, fields=YardFields, together=("lat", "lon"))


@command(needs=Permission.PLAN_RUNS)
def add_rig(*, actor: Actor, data: NewRig) -> Rig:
    """Write down a truck with its trailer."""
    refuse_known_id(Rig, data.id)
    _refuse_faults(faults_of_rig(data))
    _check_driver(actor, data)
    nested = plain(data.model_dump(include={"deck", "trailer", "truck", "breaks"}))
    rig = Rig.objects.create(shop_id=actor.shop_id, **{**data.model_dump(), **nested})
    record(actor, "rig added", ("rig", rig.id), name=rig.name)
    return rig


@command(needs=Permission.PLAN_RUNS)
def edit_rig(*, actor: Actor, data: Edit) -> Rig:
    """Change what is known of a rig, or put it away."""
    rig = queries.rig_for(actor, data.id)
    wanted = _whole(rig, data, RigFields)
    _refuse_faults(faults_of_rig(wanted))
    _check_driver(actor, wanted)
    return edit_row(actor=actor, kind="rig", row=rig, edit=data, fields=RigFields, together=("home_lat", "home_lon"))


def _whole(row: Yard | Rig, edit: Edit, fields: type[S]) -> S:
    """The fields as they would be after an edit."""
    return decode(fields, {name: plain(getattr(row, name)) for name in fields.model_fields} | edit.set)


def _check_driver(actor: Actor, data: RigFields) -> None:
    if data.driver_id is not None and not Member.objects.filter(shop=actor.shop_id, id=data.driver_id).exists():
        raise NotFound("member", data.driver_id, field="driver_id")


def _refuse_faults(faults: list[FieldError]) -> None:
    if faults:
        raise Invalid("invalid", "Some fields need mending.", fields=faults)


@command(needs=Permission.DRIVE_RUNS, fact=True)
def report_breakdown(*, actor: Actor, data: Breakdown) -> Rig:
    """Keep that a rig cannot go on: its runs of today end, and what they had not done is to be planned again.

    What stands on its deck stays pinned to it: no other rig has it.
    """
    rig = queries.rig_for(actor, data.id)
    at = repaired(data.at, actor.skew_ms)
    rig.out_at, rig.out_note = rig.out_at or at, data.note or rig.out_note
    rig.save(update_fields=["out_at", "out_note"])
    day = today(shop_of(actor).zone)
    run = queries.live_run(actor, rig.id, day)
    if run is not None:
        _break_off(run, rig, over=run.state == "driving")
        if run.state == "driving":
            run.state, run.ended_at = "done", at
        else:
            run.state = "cancelled"
        run.save(update_fields=["state", "ended_at"])
    record(actor, "rig broke down", ("rig", rig.id), note=data.note, at=data.at)
    plan_today_anew(actor, data.plan_id, "breakdown")
    return rig


def _break_off(run: Run, rig: Rig, *, over: bool) -> None:
    """Give back the stops that a run has not made; what it has on its deck stays with the rig."""
    stops = queries.stops_of(run)
    done = [stop.trip for stop in stops if stop.state in ("arrived", "left", "failed")]
    under_way = max(done, default=0)
    for stop in stops:
        if stop.state not in ("planned", "driving"):
            continue
        if over and stop.kind == "return" and stop.trip == under_way:
            stop.pin_rig = rig
        free(stop)
        stop.save()


@command(needs=Permission.DRIVE_RUNS)
def mend_rig(*, actor: Actor, data: Target) -> Rig:
    """Say that a rig runs again."""
    rig = queries.rig_for(actor, data.id)
    rig.out_at, rig.out_note = None, ""
    rig.save(update_fields=["out_at", "out_note"])
    record(actor, "rig mended", ("rig", rig.id))
    return rig
