"""The yard and the rigs."""

from typing import TypeVar

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import Conflict, FieldError, NotFound, refuse_faults
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit, Schema, to_json
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Yard
from shopapi.dispatch.rules.schemas.rig import NewRig, RigFields, faults_of_rig
from shopapi.dispatch.rules.schemas.yard import NewYard, YardFields, faults_of_yard

S = TypeVar("S", bound=Schema)


@command(needs=Permission.PLAN_RUNS, creates_row=True)
def set_up_yard(*, actor: Actor, data: NewYard) -> Yard:
    """Create the yard, where runs begin and end. A shop has one."""
    refuse_known_id(Yard, data.id)
    if queries.yards(actor).exists():
        raise Conflict("yard_exists", fields=[FieldError("id", "yard_exists")])
    refuse_faults(faults_of_yard(data), message="fields_invalid")
    yard = Yard.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "yard set up", ("yard", yard.id))
    return yard


@command(needs=Permission.PLAN_RUNS)
def edit_yard(*, actor: Actor, data: Edit[YardFields]) -> Yard:
    """Edit where runs begin and end, or how this shop drives and works."""
    yard = row_for(Yard, actor, data.id)
    refuse_faults(faults_of_yard(edited(yard, data)), message="fields_invalid")
    return edit_row(actor=actor, kind="yard", row=yard, edit=data, together=("lat", "lon"))


@command(needs=Permission.PLAN_RUNS, creates_row=True)
def add_rig(*, actor: Actor, data: NewRig) -> Rig:
    """Add a truck with its trailer."""
    refuse_known_id(Rig, data.id)
    refuse_faults(faults_of_rig(data), message="fields_invalid")
    _check_driver(actor, data)
    nested = to_json(data.model_dump(include={"deck", "trailer", "truck", "breaks"}))
    rig = Rig.objects.create(shop_id=actor.shop_id, **{**data.model_dump(), **nested})
    record(actor, "rig added", ("rig", rig.id), name=rig.name)
    return rig


@command(needs=Permission.PLAN_RUNS)
def edit_rig(*, actor: Actor, data: Edit[RigFields]) -> Rig:
    """Edit a rig, or retire it."""
    rig = row_for(Rig, actor, data.id)
    wanted = edited(rig, data)
    refuse_faults(faults_of_rig(wanted), message="fields_invalid")
    _check_driver(actor, wanted)
    return edit_row(actor=actor, kind="rig", row=rig, edit=data, together=("home_lat", "home_lon"))


def _check_driver(actor: Actor, data: RigFields) -> None:
    if data.driver_id is not None and not Member.objects.filter(shop=actor.shop_id, id=data.driver_id).exists():
        raise NotFound("member", data.driver_id, field="driver_id")
