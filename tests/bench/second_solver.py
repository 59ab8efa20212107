"""A second solver of circuits, by plain enumeration with exact fractions: slow, and nothing shared with the first."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations, product

from shopapi.bench.rules.circuit import CircuitModel, Observation
from shopapi.bench.rules.diagnosis.faults import PER_THOUSAND, SHARES

NAMES = ("open", "closed", "sometimes_open", "sometimes_closed")
Faults = frozenset[tuple[str, str]]


def weights(model: CircuitModel, observations: Sequence[Observation], most: int) -> dict[Faults, Fraction]:
    """The share of every set of at most `most` faults that explains everything; empty where none does."""
    found: dict[Faults, Fraction] = {}
    for size in range(most + 1):
        for parts in combinations(model.parts, size):
            for chosen in product(*(odds_of(model, part.key) for part in parts)):
                faults = {part.key: name for part, (name, _) in zip(parts, chosen, strict=True)}
                weight = Fraction(1)
                for _, odds in chosen:
                    weight *= odds
                for seen in observations:
                    chance = chance_of_yes(model, seen, faults)
                    weight *= chance**seen.yes * (1 - chance) ** (seen.tries - seen.yes)
                if weight:
                    found[frozenset(faults.items())] = weight
    whole = sum(found.values(), Fraction(0))
    return {faults: weight / whole for faults, weight in found.items()}


def odds_of(model: CircuitModel, key: str) -> list[tuple[str, Fraction]]:
    part = next(each for each in model.parts if each.key == key)
    contacts = [contact for way in [*model.crank, *model.kill] for contact in way.contacts if contact.part == key]
    shares = dict(zip(NAMES, SHARES[part.kind], strict=True))
    if all(contact.control is None and not contact.closed for contact in contacts):
        shares["open"] = shares["sometimes_open"] = 0
    if all(contact.control is None and contact.closed for contact in contacts):
        shares["closed"] = shares["sometimes_closed"] = 0
    whole = sum(shares.values())
    chance = Fraction(part.per_thousand or PER_THOUSAND[part.kind], 1000)
    return [(name, chance / (1 - chance) * Fraction(share, whole)) for name, share in shares.items() if share]


def chance_of_yes(model: CircuitModel, seen: Observation, faults: dict[str, str]) -> Fraction:
    """By going through every way in which the parts that fail now and then may behave in one try."""
    fickle = [key for key, name in faults.items() if name.startswith("sometimes")]
    chance = Fraction(0)
    for fails in product((False, True), repeat=len(fickle)):
        share = Fraction(1)
        now = {key: name for key, name in faults.items() if key not in fickle}
        for key, failing in zip(fickle, fails, strict=True):
            passes = pass_share(model, seen, key)
            share *= 1 - passes if failing else passes
            if failing:
                now[key] = faults[key].removeprefix("sometimes_")
        if answers_yes(model, seen, now):
            chance += share
    return chance


def pass_share(model: CircuitModel, seen: Observation, key: str) -> Fraction:
    part = next(each for each in model.parts if each.key == key)
    percents = [part.pass_percent or model.pass_percents.usual]
    if seen.heat == "hot":
        percents.append(model.pass_percents.hot)
    if seen.wet:
        percents.append(model.pass_percents.wet)
    if seen.shaken:
        percents.append(model.pass_percents.shaken)
    return Fraction(min(percents), 100)


def answers_yes(model: CircuitModel, seen: Observation, now: dict[str, str]) -> bool:
    states = seen.controls.model_dump()

    def conducts(contacts: Sequence[object]) -> bool:
        for contact in contacts:
            part, control, closed = contact.part, contact.control, contact.closed  # type: ignore[attr-defined] # a contact
            closed = closed if control is None else states[control] == closed
            if part in now:
                closed = now[part] == "closed"
            if not closed:
                return False
        return True

    if seen.check == "crank":
        return any(conducts(way.contacts) for way in model.crank)
    if seen.check == "run":
        grounded = any(conducts(way.contacts) for way in model.kill)
        return grounded if model.kill_by == "feed" else not grounded
    keys = [[contact.part for contact in way.contacts] for way in model.crank]
    if seen.check == "voltage":
        ways = zip(model.crank, keys, strict=True)
        return any(conducts(way.contacts[: names.index(seen.part) + 1]) for way, names in ways if seen.part in names)
    contacts = [contact for way in [*model.crank, *model.kill] for contact in way.contacts]
    return conducts([next(contact for contact in contacts if contact.part == seen.part)])
