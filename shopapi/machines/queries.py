"""Reads of machines and meter readings."""

from uuid import UUID

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.core.errors import NotFound
from shopapi.machines.models import Machine, MeterReading
from shopapi.machines.rules import MachineRow, MeterReadingRow


def machines(actor: Actor) -> QuerySet[Machine]:
    return Machine.objects.filter(shop=actor.shop_id)


def meter_readings(actor: Actor) -> QuerySet[MeterReading]:
    return MeterReading.objects.filter(shop=actor.shop_id)


def machine_for(actor: Actor, machine_id: UUID, *, field: str = "machine_id") -> Machine:
    """A machine of the shop, locked. Raises NotFound."""
    found = machines(actor).select_for_update().filter(id=machine_id).first()
    if found is None:
        raise NotFound("machine", machine_id, field=field)
    return found


def show_machine(actor: Actor, machine: Machine) -> MachineRow:
    return MachineRow.of(machine)


def show_reading(actor: Actor, reading: MeterReading) -> MeterReadingRow:
    return MeterReadingRow.of(reading)
