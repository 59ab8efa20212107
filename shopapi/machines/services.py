"""Machines and meter readings: the only writer of this app."""

from django.db.models import Max

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.customers.models import Customer
from shopapi.machines import queries
from shopapi.machines.models import Machine, MeterReading
from shopapi.machines.rules import MachineFields, MeterRecord, NewMachine


@command(needs=Permission.MANAGE_MACHINES, creates_row=True)
def add_machine(*, actor: Actor, data: NewMachine) -> Machine:
    """Add a machine of a customer."""
    refuse_known_id(Machine, data.id)
    row_for(Customer, actor, data.customer_id, field="customer_id")
    machine = Machine.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "machine added", ("machine", machine.id))
    return machine


@command(needs=Permission.MANAGE_MACHINES)
def edit_machine(*, actor: Actor, data: Edit[MachineFields]) -> Machine:
    """Edit a machine."""
    machine = row_for(Machine, actor, data.id)
    return edit_row(actor=actor, kind="machine", row=machine, edit=data)


@command(needs=Permission.MANAGE_MACHINES, deletes_row=True)
def remove_machine(*, actor: Actor, data: Target) -> Machine:
    """Remove a machine that no job names."""
    machine = row_for(Machine, actor, data.id)
    remove_row(machine, "machine_in_use")
    record(actor, "machine removed", ("machine", data.id), name=str(machine))
    return machine


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_meter(*, actor: Actor, data: MeterRecord) -> MeterReading:
    """Add a reading of the hour meter. It may be lower than the last one: the meter may have been replaced."""
    refuse_known_id(MeterReading, data.id)
    row_for(Machine, actor, data.machine_id, field="machine_id")
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
