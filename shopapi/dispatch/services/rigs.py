"""The yard and its rigs, as people set them up."""

from typing import TypeVar

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Edit, Shape, decode, plain
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Yard
from shopapi.dispatch.rules.records import (
    NewRig,
    NewYard,
    RigFields,
    YardFields,
    faults_of_rig,
    faults_of_yard,
)

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
