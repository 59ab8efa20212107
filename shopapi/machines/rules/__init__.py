"""Rules of machines, their hour meters, and of sheets: what the shop knows of a kind of machine."""

from shopapi.machines.rules.machines import (
    CODE_LETTERS,
    Centimeters,
    Hours,
    Kilograms,
    MachineFields,
    MachineRow,
    MeterReadingRow,
    MeterRecord,
    NewMachine,
    ServiceDone,
    ServiceRecordRow,
    machine_text,
    short_code,
)

__all__ = [
    "CODE_LETTERS",
    "Centimeters",
    "Hours",
    "Kilograms",
    "MachineFields",
    "MachineRow",
    "MeterReadingRow",
    "MeterRecord",
    "NewMachine",
    "ServiceDone",
    "ServiceRecordRow",
    "machine_text",
    "short_code",
]
