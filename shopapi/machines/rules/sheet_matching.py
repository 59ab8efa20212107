"""Which sheets are about a machine, best first, and which are about its relatives.

Twin: `matchSheets` in `pwa/src/domain/machines/sheetMatching.ts`; both run `fixtures/machines/sheet_matching.json`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from shopapi.core.enums import TextEnum
from shopapi.machines.rules.serials import is_serial_between


class SheetFit(TextEnum):
    """Why a sheet is shown for a machine.

    own: about this machine or its engine. serials: about the same model with other serial numbers. family: about a
    relative, by the family of the sheet. make: about another machine or engine of the same make.
    """

    OWN = "own"
    SERIALS = "serials"
    FAMILY = "family"
    MAKE = "make"


class Named(Protocol):
    """The names that machines and sheets have in common."""

    @property
    def kind(self) -> str: ...
    @property
    def make(self) -> str: ...
    @property
    def model(self) -> str: ...
    @property
    def engine_make(self) -> str: ...
    @property
    def engine_model(self) -> str: ...


class MachineNames(Named, Protocol):
    @property
    def serial(self) -> str: ...
    @property
    def engine_serial(self) -> str: ...


class SheetNames(Named, Protocol):
    @property
    def title(self) -> str: ...
    @property
    def family(self) -> str: ...
    @property
    def serial_from(self) -> str: ...
    @property
    def serial_to(self) -> str: ...


@dataclass(frozen=True)
class SheetMatch:
    """The place of a sheet in the list that was given, and why it is shown.

    `serial_unknown`: it is for a range of serial numbers, and the machine's is not known.
    """

    index: int
    fit: SheetFit
    serial_unknown: bool = False


# How much an equal name says; a higher sum comes first.
WEIGHTS = {"model": 16, "engine_model": 8, "make": 4, "engine_make": 2, "kind": 1}
FITS = tuple(SheetFit)


def match_sheets(machine: MachineNames, sheets: Iterable[SheetNames]) -> list[SheetMatch]:
    """The sheets about a machine, the one that names most of it first, then those about its relatives.

    Names are equal without regard to case, spaces and marks. A sheet applies where everything that it names is equal
    to what the machine has and the serial number is not outside its range; one that names nothing of it but a family
    is about relatives. The order among equals is by title, then as given.
    """
    listed = list(sheets)
    own = {index for index, sheet in enumerate(listed) if _applies(machine, sheet)}
    families = {plain_name(listed[index].family) for index in own} - {""}
    found = []
    for index, sheet in enumerate(listed):
        fit = SheetFit.OWN if index in own else _kinship(machine, sheet, families)
        if fit is not None:
            unknown = fit is SheetFit.OWN and _has_range(sheet) and not plain_name(_serial_for(machine, sheet))
            found.append(SheetMatch(index, fit, unknown))

    def place(match: SheetMatch) -> tuple[int, int, str, int]:
        sheet = listed[match.index]
        return FITS.index(match.fit), -_weight(sheet, match), plain_name(sheet.title), match.index

    return sorted(found, key=place)


def plain_name(name: str) -> str:
    """A name without what differs between two spellings of it.

    >>> plain_name("GT-18 ") == plain_name("gt 18")
    True
    """
    return re.sub(r"[\W_]", "", name).lower()


def _weight(sheet: SheetNames, match: SheetMatch) -> int:
    if match.fit is not SheetFit.OWN:
        return 0
    named = sum(weight for name, weight in WEIGHTS.items() if getattr(sheet, name))
    return 2 * named + (_has_range(sheet) and not match.serial_unknown)


def _has_range(sheet: SheetNames) -> bool:
    return bool(sheet.serial_from or sheet.serial_to)


def _serial_for(machine: MachineNames, sheet: SheetNames) -> str:
    """The serial number that a sheet's range is about: the engine's where the sheet names an engine alone."""
    about_engine = (sheet.engine_make or sheet.engine_model) and not (sheet.make or sheet.model)
    return machine.engine_serial if about_engine else machine.serial


def _names_fit(machine: Named, sheet: SheetNames) -> bool:
    """Whether all that a sheet names is equal to what the machine has; a sheet that names nothing fits none."""
    wanted = [name for name in WEIGHTS if plain_name(getattr(sheet, name))]
    return bool(wanted) and all(
        plain_name(getattr(sheet, name)) == plain_name(getattr(machine, name)) for name in wanted
    )


def _serial_fits(machine: MachineNames, sheet: SheetNames) -> bool:
    serial = _serial_for(machine, sheet)
    return not plain_name(serial) or is_serial_between(serial, sheet.serial_from, sheet.serial_to)


def _applies(machine: MachineNames, sheet: SheetNames) -> bool:
    return _names_fit(machine, sheet) and _serial_fits(machine, sheet)


def _kinship(machine: MachineNames, sheet: SheetNames, families: set[str]) -> SheetFit | None:
    if _names_fit(machine, sheet):
        return SheetFit.SERIALS
    if plain_name(sheet.family) in families or _is_of_family(machine, sheet.family):
        return SheetFit.FAMILY
    makes = {plain_name(machine.make), plain_name(machine.engine_make)} - {""}
    return SheetFit.MAKE if {plain_name(sheet.make), plain_name(sheet.engine_make)} & makes else None


def _words(text: str) -> set[str]:
    return set(re.findall(r"[^\W_]+", text.lower()))


def _is_of_family(machine: Named, family: str) -> bool:
    """Whether all words of a family's name are in the names of the machine and its engine."""
    names = f"{machine.make} {machine.model} {machine.engine_make} {machine.engine_model}"
    return bool(_words(family)) and _words(family) <= _words(names)
