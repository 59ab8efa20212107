"""Machines, meter readings and sheets: the only writer of this app."""

from uuid import UUID

from django.db.models import Max

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.customers.models import Customer
from shopapi.machines import queries
from shopapi.machines.models import Limit, Machine, MeterReading, ServiceRecord, Sheet, SheetEntry
from shopapi.machines.rules import MachineFields, MeterRecord, NewMachine, ServiceDone
from shopapi.machines.rules.limits import LimitFields, NewLimit, limit_faults
from shopapi.machines.rules.sheets import (
    NewSheet,
    NewSheetEntry,
    SheetEntryFields,
    SheetFields,
    entry_faults,
    sheet_faults,
)


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


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_service(*, actor: Actor, data: ServiceDone) -> ServiceRecord:
    """Note that a service was done on a machine; the next one is due from then."""
    refuse_known_id(ServiceRecord, data.id)
    row_for(Machine, actor, data.machine_id, field="machine_id")
    done = ServiceRecord.objects.create(shop_id=actor.shop_id, noted_by_id=actor.member_id, **data.model_dump())
    record(actor, "service done", ("machine", data.machine_id), what=data.what, done_on=data.done_on)
    return done


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_sheet(*, actor: Actor, data: NewSheet) -> Sheet:
    """Add a sheet about a kind of machine or engine."""
    refuse_known_id(Sheet, data.id)
    refuse_faults(sheet_faults(data))
    sheet = Sheet.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "sheet added", ("sheet", sheet.id), title=data.title)
    return sheet


@command(needs=Permission.WORK_JOBS)
def edit_sheet(*, actor: Actor, data: Edit[SheetFields]) -> Sheet:
    """Edit what a sheet is about, or archive it."""
    sheet = row_for(Sheet, actor, data.id)
    refuse_faults(sheet_faults(edited(sheet, data)))
    return edit_row(actor=actor, kind="sheet", row=sheet, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_sheet(*, actor: Actor, data: Target) -> Sheet:
    """Remove a sheet with nothing on it."""
    sheet = row_for(Sheet, actor, data.id)
    remove_row(sheet, "sheet_in_use")
    record(actor, "sheet removed", ("sheet", data.id), title=sheet.title)
    return sheet


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_limit(*, actor: Actor, data: NewLimit) -> Limit:
    """Add a limit to a sheet."""
    refuse_known_id(Limit, data.id)
    _check_origin(actor, data.sheet_id, data.machine_id)
    refuse_faults(limit_faults(data))
    limit = Limit.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "limit added", ("sheet", data.sheet_id), limit=limit.id, what=data.what)
    return limit


@command(needs=Permission.WORK_JOBS)
def edit_limit(*, actor: Actor, data: Edit[LimitFields]) -> Limit:
    """Edit a limit and raise its version. Readings keep the limit as it was when they were taken."""
    limit = row_for(Limit, actor, data.id)
    refuse_faults(limit_faults(edited(limit, data)))
    before = {name: getattr(limit, name) for name in data.set}
    edit_row(actor=actor, kind="limit", row=limit, edit=data)
    if any(getattr(limit, name) != value for name, value in before.items()):
        limit.version += 1
        limit.save(update_fields=["version"])
    return limit


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_limit(*, actor: Actor, data: Target) -> Limit:
    """Remove a limit. Readings against it keep their copy."""
    limit = row_for(Limit, actor, data.id)
    remove_row(limit, "limit_in_use")
    record(actor, "limit removed", ("sheet", limit.sheet_id), what=limit.what)
    return limit


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_sheet_entry(*, actor: Actor, data: NewSheetEntry) -> SheetEntry:
    """Add a fastener, an operation, a note or an order of putting back to a sheet."""
    refuse_known_id(SheetEntry, data.id)
    _check_origin(actor, data.sheet_id, data.machine_id)
    refuse_faults(entry_faults(data))
    entry = SheetEntry.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "sheet entry added", ("sheet", data.sheet_id), entry=entry.id, kind=data.kind)
    return entry


@command(needs=Permission.WORK_JOBS)
def edit_sheet_entry(*, actor: Actor, data: Edit[SheetEntryFields]) -> SheetEntry:
    """Edit an entry of a sheet."""
    entry = row_for(SheetEntry, actor, data.id)
    refuse_faults(entry_faults(edited(entry, data)))
    return edit_row(actor=actor, kind="sheet_entry", row=entry, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_sheet_entry(*, actor: Actor, data: Target) -> SheetEntry:
    """Remove an entry of a sheet."""
    entry = row_for(SheetEntry, actor, data.id)
    remove_row(entry, "sheet_entry_in_use")
    record(actor, "sheet entry removed", ("sheet", entry.sheet_id), kind=entry.kind, words=entry.words)
    return entry


def _check_origin(actor: Actor, sheet_id: UUID, machine_id: UUID | None) -> None:
    row_for(Sheet, actor, sheet_id, field="sheet_id")
    if machine_id is not None:
        row_for(Machine, actor, machine_id, field="machine_id")
