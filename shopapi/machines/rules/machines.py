"""Schemas of machines and their hour meters."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.languages import ENGLISH, Language, Texts
from shopapi.core.schema import DecimalText, Label, LongText, Name, Row, Schema
from shopapi.core.units import TypedLength, TypedWeight

Year = Annotated[int, Field(ge=1880, le=2200)]
Kilograms = Annotated[int, Field(ge=1, le=60_000)]
Centimeters = Annotated[int, Field(ge=1, le=3_000)]
TiePoints = Annotated[int, Field(ge=0, le=20)]
Hours = Annotated[DecimalText, Field(ge=0, le=Decimal("999999.99"), decimal_places=2)]


# Twin: `faultsOfMachine` in `pwa/src/domain/machines/machineFaults.ts`.
class MachineFields(Schema):
    """What may be edited of a machine. The engine has a make, model and serial of its own.

    Its size as it is carried: `mass_kg`, outer measures, wheelbase, `clearance_cm` under its belly between the axles,
    and how many points it has to tie it down by. None: nobody has measured or looked it up. Beside each measure is
    what was typed for it, such as "900 lb"; it counts while it comes to the same whole kilograms or centimetres.
    """

    kind: Name
    make: Label = ""
    model: Label = ""
    serial: Label = ""
    year: Year | None = None
    engine_make: Label = ""
    engine_model: Label = ""
    engine_serial: Label = ""
    tag: Label = ""
    notes: LongText = ""
    archived: bool = False
    mass_kg: Kilograms | None = None
    mass_typed: TypedWeight = ""
    length_cm: Centimeters | None = None
    length_typed: TypedLength = ""
    width_cm: Centimeters | None = None
    width_typed: TypedLength = ""
    height_cm: Centimeters | None = None
    height_typed: TypedLength = ""
    wheelbase_cm: Centimeters | None = None
    wheelbase_typed: TypedLength = ""
    clearance_cm: Centimeters | None = None
    clearance_typed: TypedLength = ""
    tie_points: TiePoints | None = None


class NewMachine(MachineFields):
    id: UUID
    customer_id: UUID


class MachineRow(Row):
    customer_id: UUID
    kind: str
    make: str
    model: str
    serial: str
    year: int | None
    engine_make: str
    engine_model: str
    engine_serial: str
    tag: str
    notes: str
    archived: bool
    mass_kg: int | None
    mass_typed: str
    length_cm: int | None
    length_typed: str
    width_cm: int | None
    width_typed: str
    height_cm: int | None
    height_typed: str
    wheelbase_cm: int | None
    wheelbase_typed: str
    clearance_cm: int | None
    clearance_typed: str
    tie_points: int | None


class MeterRecord(Schema):
    """A reading of the hour meter. `new_segment`: the meter was replaced or rolled over since the last one."""

    id: UUID
    machine_id: UUID
    hours: Hours
    read_on: date
    new_segment: bool = False


class MeterReadingRow(Row):
    machine_id: UUID
    segment: int
    hours: DecimalText
    read_on: date
    noted_by_id: UUID | None


class ServiceDone(Schema):
    """A service done on a machine. `what` names it as its entry on a sheet does; its hours are those of the meter."""

    id: UUID
    machine_id: UUID
    what: Name
    done_on: date
    job_mark: Label = ""


class ServiceRecordRow(Row):
    machine_id: UUID
    what: str
    done_on: date
    job_mark: str
    noted_by_id: UUID | None


CODE_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def short_code(machine_id: UUID) -> str:
    """Six letters of a machine's id to print on its tag and to type: no I, L, O or U, which are misread (Crockford).

    Twin: `shortCode` in `pwa/src/domain/machines/machineText.ts`.

    >>> short_code(UUID("01900000-0000-7000-8000-00003fffffff"))
    'ZZZ-ZZZ'
    """
    rest, letters = machine_id.int & (1 << 30) - 1, ""
    for _ in range(6):
        rest, letter = divmod(rest, 32)
        letters = CODE_LETTERS[letter] + letters
    return f"{letters[:3]}-{letters[3:]}"


TEXTS: Mapping[Language, Texts] = {
    "en": Texts("en", {"machine_serial": "{name}, serial {serial}"}),
    "es": Texts("es", {"machine_serial": "{name}, n.º de serie {serial}"}),
}


def machine_text(*, kind: str, make: str, model: str, serial: str, language: Language = ENGLISH) -> str:
    """The machine as people say it: make, model, kind; in Spanish the kind comes first.

    Twin: `machineText` in `pwa/src/domain/machines/machineText.ts`.

    >>> machine_text(kind="garden tractor", make="Hartvale", model="GT 18", serial="0042")
    'Hartvale GT 18 garden tractor, serial 0042'
    >>> machine_text(kind="tractor", make="", model="", serial="0042", language="es")
    'tractor, n.º de serie 0042'
    >>> machine_text(kind="tractor de jardín", make="Hartvale", model="GT 18", serial="", language="es")
    'tractor de jardín Hartvale GT 18'
    """
    ordered = (kind, make, model) if language == "es" else (make, model, kind)
    name = " ".join(filter(None, ordered))
    return TEXTS[language].say("machine_serial", name=name, serial=serial) if serial else name
