from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.machines import queries, services
from shopapi.machines.rules import MachineRow, MeterReadingRow


class MachineFilters(Filters):
    customer_id: UUID | None = None
    archived: bool = False


class ReadingFilters(Filters):
    machine_id: UUID | None = None


machines = Noun(
    "machines",
    MachineRow,
    queries.machines,
    queries.show_machine,
    Permission.READ,
    filters=MachineFilters,
    add=services.add_machine,
    verbs={"edit": services.edit_machine, "remove": services.remove_machine},
)
meter_readings = Noun(
    "meter-readings",
    MeterReadingRow,
    queries.meter_readings,
    queries.show_reading,
    Permission.READ,
    filters=ReadingFilters,
    add=services.record_meter,
)

urlpatterns = [*machines.urls(), *meter_readings.urls()]
