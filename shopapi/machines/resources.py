"""The resources of machines."""

from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.parameters import Filters
from shopapi.core.resources import Resource
from shopapi.machines import services
from shopapi.machines.models import Machine, MeterReading
from shopapi.machines.rules import MachineRow, MeterReadingRow


class MachineFilters(Filters):
    customer_id: UUID | None = None
    archived: bool = False


RESOURCES = (
    Resource(
        "machine",
        Machine,
        MachineRow,
        reads=Permission.READ,
        filters=MachineFilters,
        commands=(services.add_machine, services.edit_machine, services.remove_machine),
        columns=("kind", "make", "model", "serial", "customer", "archived"),
        search=("make", "model", "serial", "engine_serial", "tag"),
    ),
    Resource(
        "meter_reading",
        MeterReading,
        MeterReadingRow,
        reads=Permission.READ,
        snapshot_order=1,
        filters=("machine_id",),
        commands=(services.record_meter,),
        computed_fields=("segment", "noted_by_id"),
        columns=("machine", "segment", "hours", "read_on", "noted_by"),
    ),
)
