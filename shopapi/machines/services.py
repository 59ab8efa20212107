"""Machines and meter readings: the only writer of this app."""

from django.db.models import Max

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.rows import refuse_known_id, remove_row
from shopapi.core.shape import Edit, Target
from shopapi.customers.queries import customer_for
from shopapi.machines import queries
from shopapi.machines.models import Machine, MeterReading
from shopapi.machines.rules import MachineFields, MeterRecord, NewMachine


@command(needs=Permission.MANAGE_MACHINES)
def add_machine(*, actor: Actor, data: NewMachine) -> Machine:
    """Write down a machine of a customer."""
    refuse_known_id(Machine, data.id)
    customer_for(actor, data.customer_id)
    machine = Machine.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "machine added", ("machine", machine.id))
    return machine


@command(needs=Permission.MANAGE_MACHINES)
def edit_machine(*, actor: Actor, data: Edit) -> Machine:
    """Change what is known of a machine."""
    machine = queries.machine_for(actor, data.id, field="id")
    return edit_row(actor=actor, kind="machine", row=machine, edit=data, fields=MachineFields)


@command(needs=Permission.MANAGE_MACHINES)
def remove_machine(*, actor: Actor, data: Target) -> Machine:
    """Remove a machine that no job names."""
    machine = queries.machine_for(actor, data.id, field="id")
    remove_row(machine, "This machine has jobs or readings; archive it instead.")
    record(actor, "machine removed", ("machine", data.id), name=str(machine))
    return machine


@command(needs=Permission.WORK_JOBS, fact=True)
def record_meter(*, actor: Actor, data: MeterRecord) -> MeterReading:
    """Keep a reading of the hour meter. Lower than before is kept too: the meter may have been replaced."""
    refuse_known_id(MeterReading, data.id)
    queries.machine_for(actor, data.machine_id)
    last = queries.meter_readings(actor).filter(machine=data.machine_id).aggregate(segment=Max("segment"))
    segment = (last["segment"] or 1) + (1 if data.new_segment and last["segment"] else 0)
    reading = MeterReading.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        machine_id=data.machine_id,
        segment=segment,
        hours=data.hours,
        read_on=data.read_on,
        noted_by_id=actor.member_id,
    )
    record(actor, "meter read", ("machine", data.machine_id), hours=data.hours)
    return reading
