"""Sheets: what the shop knows of a kind of machine or engine, with fasteners, operations, notes and put-back order.

Twin of the checks: `pwa/src/domain/machines/sheetFaults.ts`; both run `fixtures/machines/sheets.json`.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.quantities import UNITS, Quantity
from shopapi.core.schema import DecimalText, Label, LongText, Name, OptionalText, Row, Schema
from shopapi.machines.rules.limits import TypedAmount
from shopapi.machines.rules.serials import serial_key


class SheetFields(Schema):
    """What may be edited of a sheet.

    An empty field of what it is for fits every machine. `family`: words that the names of related machines or engines
    have in common ("Hartvale GT"). `serial_from` and `serial_to` are serial numbers of the machine; of the engine where
    the sheet names only an engine.
    """

    title: Name
    kind: Label = ""
    make: Label = ""
    model: Label = ""
    engine_make: Label = ""
    engine_model: Label = ""
    family: Label = ""
    serial_from: Label = ""
    serial_to: Label = ""
    notes: LongText = ""
    archived: bool = False


class NewSheet(SheetFields):
    id: UUID


class SheetRow(Row):
    title: str
    kind: str
    make: str
    model: str
    engine_make: str
    engine_model: str
    family: str
    serial_from: str
    serial_to: str
    notes: str
    archived: bool


FOR_WHAT = ("kind", "make", "model", "engine_make", "engine_model", "family")


def sheet_faults(sheet: SheetFields) -> list[FieldError]:
    """What is wrong with a sheet as a whole, by field; empty: nothing."""
    faults = []
    if not any(getattr(sheet, name).strip() for name in FOR_WHAT):
        faults.append(FieldError("model", "sheet_for_nothing"))
    if sheet.serial_from and sheet.serial_to and serial_key(sheet.serial_from) > serial_key(sheet.serial_to):
        faults.append(FieldError("serial_to", "serials_upside_down"))
    return faults


class SheetEntryKind(TextEnum):
    """What an entry is about.

    fastener: those of one place. operation: work with its usual hours. service: work that is due again after `hours`
    on the meter or `months`, whichever comes first. lesson: what a job taught. order: put `first` back before `second`.
    """

    FASTENER = "fastener"
    OPERATION = "operation"
    SERVICE = "service"
    NOTE = "note"
    WARNING = "warning"
    LESSON = "lesson"
    ORDER = "order"


def _no_unknown_unit(unit: str) -> str:
    if unit and unit not in UNITS:
        raise ValueError("unit_unknown")
    return unit


UsualHours = Annotated[DecimalText, Field(gt=0, le=1000, decimal_places=2)]
Count = Annotated[int, Field(ge=1, le=999)]
Months = Annotated[int, Field(ge=1, le=240)]


class SheetEntryFields(Schema):
    """What may be edited of an entry of a sheet; which fields it has besides `words` depends on its kind.

    `words` is the place of a fastener, the work of an operation or a service, the text of a note, a warning or a
    lesson, and the reason of an order, where it may be empty. `length` and `head` as printed or measured. `torque` is
    in `torque_unit`.
    """

    kind: SheetEntryKind
    words: OptionalText = ""
    thread: Label = ""
    length: Label = ""
    head: Label = ""
    count: Count | None = None
    torque: TypedAmount = ""
    torque_unit: Annotated[str, AfterValidator(_no_unknown_unit)] = ""
    one_use: bool = False
    thread_locker: Label = ""
    hours: UsualHours | None = None
    months: Months | None = None
    first: Label = ""
    second: Label = ""


class NewSheetEntry(SheetEntryFields):
    """An entry on a sheet. `machine_id` and `job_mark`: the machine and the job that it was learned from, if any."""

    id: UUID
    sheet_id: UUID
    machine_id: UUID | None = None
    job_mark: Label = ""


class SheetEntryRow(Row):
    sheet_id: UUID
    kind: SheetEntryKind
    words: str
    thread: str
    length: str
    head: str
    count: int | None
    torque: str
    torque_unit: str
    one_use: bool
    thread_locker: str
    hours: DecimalText | None
    months: int | None
    first: str
    second: str
    machine_id: UUID | None
    job_mark: str


FASTENER_FIELDS = ("thread", "length", "head", "count", "torque", "torque_unit", "one_use", "thread_locker")
ENTRY_FIELDS: Mapping[SheetEntryKind, tuple[str, ...]] = {
    SheetEntryKind.FASTENER: FASTENER_FIELDS,
    SheetEntryKind.OPERATION: ("hours",),
    SheetEntryKind.SERVICE: ("hours", "months"),
    SheetEntryKind.NOTE: (),
    SheetEntryKind.WARNING: (),
    SheetEntryKind.LESSON: (),
    SheetEntryKind.ORDER: ("first", "second"),
}
"""The fields that an entry of a kind may have besides `words`."""


def entry_faults(entry: SheetEntryFields) -> list[FieldError]:
    """What is wrong with an entry as a whole, by field; empty: nothing."""
    own = ENTRY_FIELDS[entry.kind]
    every = dict.fromkeys(name for names in ENTRY_FIELDS.values() for name in names)
    foreign = (name for name in every if name not in own)
    faults = [FieldError(name, "not_for_entry") for name in foreign if getattr(entry, name)]
    if entry.kind == SheetEntryKind.ORDER:
        faults += [FieldError(name, "missing") for name in ("first", "second") if not getattr(entry, name).strip()]
        if entry.first.strip() and entry.first.strip().lower() == entry.second.strip().lower():
            faults.append(FieldError("second", "order_of_one"))
    elif not entry.words.strip():
        faults.append(FieldError("words", "missing"))
    if entry.kind == SheetEntryKind.SERVICE and entry.hours is None and entry.months is None:
        faults.append(FieldError("hours", "service_never"))
    if entry.kind == SheetEntryKind.FASTENER:
        faults += _torque_faults(entry)
    return faults


def _torque_faults(entry: SheetEntryFields) -> list[FieldError]:
    if not entry.torque:
        return []
    unit = UNITS.get(entry.torque_unit)
    if unit is None:
        return [FieldError("torque_unit", "missing")]
    if unit.quantity != Quantity.TORQUE:
        return [FieldError("torque_unit", "unit_of_another_quantity")]
    return [FieldError("torque", "torque_not_positive")] if Decimal(entry.torque) <= 0 else []
