"""The faults that a part can have, how likely each is before any observation, and what it does to a try."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopapi.bench.rules.circuit import (
    CircuitCheck,
    CircuitContact,
    CircuitModel,
    CircuitPart,
    CircuitPartKind,
    ControlStates,
    Heat,
    Observation,
    contacts_of,
    is_closed,
    is_inverted,
    ways_measured,
)
from shopapi.core.enums import TextEnum


class PartFault(TextEnum):
    """Stays open, stays closed, is open or closed now and then although it should not be."""

    OPEN = "open"
    CLOSED = "closed"
    SOMETIMES_OPEN = "sometimes_open"
    SOMETIMES_CLOSED = "sometimes_closed"


FAULTS = tuple(PartFault)
OPENING = (PartFault.OPEN, PartFault.SOMETIMES_OPEN)

# Of 1,000 machines that come in, how many have it at fault; and how its faults divide (of 100, as FAULTS are ordered).
# Assumptions without a source. The owner sets the first by part.
PER_THOUSAND: Mapping[CircuitPartKind, int] = {
    CircuitPartKind.SWITCH: 6,
    CircuitPartKind.RELAY: 3,
    CircuitPartKind.CONNECTOR: 5,
    CircuitPartKind.WIRE: 3,
    CircuitPartKind.FUSE: 3,
    CircuitPartKind.BATTERY: 6,
    CircuitPartKind.SOLENOID: 4,
    CircuitPartKind.STARTER: 2,
    CircuitPartKind.MODULE: 2,
}
SHARES: Mapping[CircuitPartKind, tuple[int, int, int, int]] = {
    CircuitPartKind.SWITCH: (30, 15, 40, 15),
    CircuitPartKind.RELAY: (40, 10, 40, 10),
    CircuitPartKind.CONNECTOR: (30, 0, 70, 0),
    CircuitPartKind.WIRE: (40, 20, 30, 10),
    CircuitPartKind.FUSE: (90, 0, 10, 0),
    CircuitPartKind.BATTERY: (60, 0, 40, 0),
    CircuitPartKind.SOLENOID: (50, 10, 40, 0),
    CircuitPartKind.STARTER: (50, 0, 50, 0),
    CircuitPartKind.MODULE: (35, 35, 15, 15),
}


@dataclass(frozen=True)
class Fault:
    part: str
    fault: PartFault


@dataclass(frozen=True)
class Case:
    """Like tries taken together. A way is two sets of parts as bits: all of it, and those whose contact is open.

    `passes`: by part, in what share of such tries it works although it fails now and then. `seen`: which observations.
    """

    ways: tuple[tuple[int, int], ...]
    inverted: bool
    passes: tuple[float, ...]
    yes: int = 0
    no: int = 0
    seen: tuple[int, ...] = ()

    def conducts(self, opened: int, closed: int) -> bool:
        return any(not way & opened and not resting & ~closed for way, resting in self.ways)

    def chance(self, opened: int, closed: int, fickle: Sequence[tuple[int, bool]]) -> float:
        """The chance of yes in one try. `fickle`: parts that fail now and then, and whether by opening."""
        if not fickle:
            return float(self.conducts(opened, closed) != self.inverted)
        (part, opens), rest = fickle[0], fickle[1:]
        works = self.chance(opened, closed, rest)
        bit = 1 << part
        if not any(way & bit for way, _ in self.ways):
            return works
        fails = self.chance(opened | bit if opens else opened, closed if opens else closed | bit, rest)
        return self.passes[part] * works + (1 - self.passes[part]) * fails


def faults_of_part(model: CircuitModel, part: CircuitPart) -> list[tuple[PartFault, float]]:
    """The faults that show in some contact of a part, each with its odds against no fault.

    A contact that is never closed cannot fail by opening, one that always is cannot fail by closing.
    """
    contacts = [contact for contact in contacts_of(model) if contact.part == part.key]
    opens = any(contact.control or contact.closed for contact in contacts)
    closes = any(contact.control or not contact.closed for contact in contacts)
    possible = [
        (fault, share)
        for fault, share in zip(FAULTS, SHARES[part.kind], strict=True)
        if share and (opens if fault in OPENING else closes)
    ]
    whole = sum(share for _, share in possible)
    chance = (part.per_thousand or PER_THOUSAND[part.kind]) / 1000
    return [(fault, chance * share / whole / (1 - chance)) for fault, share in possible]


def case_of(model: CircuitModel, seen: Observation) -> Case | None:
    """What an observation was of, without its result; None where the circuit no longer has the part."""
    ways = ways_measured(model, seen.check, seen.part)
    if not ways and (seen.part is not None or seen.check == CircuitCheck.CRANK):
        return None
    places = {part.key: place for place, part in enumerate(model.parts)}
    bits = tuple(_bits(way, seen.controls, places) for way in ways)
    return Case(bits, is_inverted(model, seen.check), passes_of(model, seen))


def _bits(way: Sequence[CircuitContact], controls: ControlStates, places: Mapping[str, int]) -> tuple[int, int]:
    whole = resting = 0
    for contact in way:
        whole |= 1 << places[contact.part]
        if not is_closed(contact, controls):
            resting |= 1 << places[contact.part]
    return whole, resting


def passes_of(model: CircuitModel, seen: Observation) -> tuple[float, ...]:
    """By part, in what share of tries under these conditions it works although it fails now and then."""
    percents = model.pass_percents
    conditions = (
        (seen.heat == Heat.HOT, percents.hot),
        (seen.wet, percents.wet),
        (seen.shaken, percents.shaken),
    )
    lower = [percent for applies, percent in conditions if applies]
    return tuple(min([part.pass_percent or percents.usual, *lower]) / 100 for part in model.parts)


def cases_of(model: CircuitModel, observations: Sequence[Observation]) -> list[Case]:
    """The observations, like ones taken together; those of parts that are gone are left out."""
    found: dict[Case, tuple[int, int, tuple[int, ...]]] = {}
    for number, seen in enumerate(observations):
        case = case_of(model, seen)
        if case is not None:
            yes, no, before = found.get(case, (0, 0, ()))
            found[case] = (yes + seen.yes, no + seen.tries - seen.yes, (*before, number))
    return [Case(case.ways, case.inverted, case.passes, yes, no, seen_in) for case, (yes, no, seen_in) in found.items()]
