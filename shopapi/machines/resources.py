"""The resources of machines and sheets."""

from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.parameters import Filters
from shopapi.core.resources import Resource
from shopapi.machines import services
from shopapi.machines.models import Limit, Machine, MeterReading, ServiceRecord, Sheet, SheetEntry
from shopapi.machines.rules import MachineRow, MeterReadingRow, ServiceRecordRow
from shopapi.machines.rules.limits import LimitRow
from shopapi.machines.rules.sheets import SheetEntryRow, SheetRow


class MachineFilters(Filters):
    customer_id: UUID | None = None
    archived: bool = False


class SheetFilters(Filters):
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
    Resource(
        "service_record",
        ServiceRecord,
        ServiceRecordRow,
        reads=Permission.READ,
        filters=("machine_id",),
        commands=(services.record_service,),
        computed_fields=("noted_by_id",),
        columns=("machine", "what", "done_on", "job_mark", "noted_by"),
    ),
    Resource(
        "sheet",
        Sheet,
        SheetRow,
        reads=Permission.READ,
        filters=SheetFilters,
        commands=(services.add_sheet, services.edit_sheet, services.remove_sheet),
        columns=("title", "kind", "make", "model", "engine_make", "engine_model", "archived"),
        search=("title", "make", "model", "engine_make", "engine_model", "family"),
    ),
    Resource(
        "limit",
        Limit,
        LimitRow,
        reads=Permission.READ,
        filters=("sheet_id",),
        commands=(services.add_limit, services.edit_limit, services.remove_limit),
        computed_fields=("version",),
        columns=("sheet", "what", "nominal", "tolerance", "low", "high", "unit", "version"),
        search=("what", "condition"),
    ),
    Resource(
        "sheet_entry",
        SheetEntry,
        SheetEntryRow,
        reads=Permission.READ,
        filters=("sheet_id", "kind"),
        commands=(services.add_sheet_entry, services.edit_sheet_entry, services.remove_sheet_entry),
        columns=("sheet", "kind", "words"),
        search=("words", "thread"),
    ),
)
