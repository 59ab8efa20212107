"""Which faults explain what was seen on a circuit, and how much each explanation weighs.

Conventions:
- Every try is independent of every other, also of one at the same moment at another place.
- A part that fails now and then works in a fixed share of tries, which the circuit states and the owner sets
  (`PassPercents`). A good try therefore does not clear it: it multiplies its weight by that share.
- Weights are posterior probabilities over all explanations with at most `most` faults (MOST_FAULTS unless told),
  including the one without a fault; more faults at once are not considered. Parts fail independently of each other.
- Not modelled: a part that both opens and closes now and then, resistance, and a solenoid that welds shut by itself.

Twin: `pwa/src/domain/bench/diagnosis/explanations.ts`; both run `fixtures/bench/diagnoses.json`.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from shopapi.bench.rules.circuit import CircuitModel, Observation
from shopapi.bench.rules.diagnosis.faults import OPENING, Case, Fault, PartFault, cases_of, faults_of_part
from shopapi.bench.rules.diagnosis.hitting_sets import smallest_diagnoses, smallest_part

MOST_FAULTS = 3


@dataclass(frozen=True)
class Explanation:
    """Faults that together explain everything. `smallest`: no part can be left out of it."""

    faults: tuple[Fault, ...]
    weight: float
    smallest: bool


@dataclass(frozen=True)
class Explanations:
    """Heaviest first. `most`: the bound of faults at once; `left_out`: observations of parts that are gone.

    `conflict`: where nothing explains everything, the fewest observations that cannot be explained together.
    """

    found: tuple[Explanation, ...]
    most: int
    left_out: tuple[int, ...] = ()
    conflict: tuple[int, ...] = ()


@dataclass(frozen=True)
class Assumption:
    """Faults as bits of parts: which are open, closed, or fail now and then; `odds`: before any observation, as log."""

    faults: tuple[tuple[int, PartFault], ...]
    parts: int
    opened: int
    closed: int
    fickle: tuple[tuple[int, bool], ...]
    odds: float

    def chance(self, case: Case) -> float:
        return case.chance(self.opened, self.closed, self.fickle)


def explain(model: CircuitModel, observations: Sequence[Observation], most: int = MOST_FAULTS) -> Explanations:
    """Everything that explains the observations with at most `most` faults."""
    cases = cases_of(model, observations)
    used = {number for case in cases for number in case.seen}
    left_out = tuple(number for number in range(len(observations)) if number not in used)
    kept = []
    for assumption in assumptions(model, most, _candidates(model, cases, most)):
        weight = log_weight(assumption, cases)
        if weight is not None:
            kept.append((assumption, weight))
    if not kept:
        return Explanations((), most, left_out, _conflict(model, cases, most))
    top = max(weight for _, weight in kept)
    total = sum(math.exp(weight - top) for _, weight in kept)
    smallest = _smallest({assumption.parts for assumption, _ in kept})
    found = [
        Explanation(_named(model, assumption), math.exp(weight - top) / total, assumption.parts in smallest)
        for assumption, weight in kept
    ]
    return Explanations(tuple(sorted(found, key=lambda each: -each.weight)), most, left_out)


def assumptions(model: CircuitModel, most: int, candidates: Sequence[int] = (0,)) -> Iterator[Assumption]:
    """Every set of at most `most` faults that includes one of the candidates (sets of parts as bits)."""
    possible = [
        [(place, fault, math.log(odds)) for fault, odds in faults_of_part(model, part)]
        for place, part in enumerate(model.parts)
    ]
    for size in range(most + 1):
        for places in combinations(range(len(possible)), size):
            parts = sum(1 << place for place in places)
            if any(not candidate & ~parts for candidate in candidates):
                for chosen in product(*(possible[place] for place in places)):
                    yield assumption_of(parts, chosen)


def assumption_of(parts: int, chosen: Sequence[tuple[int, PartFault, float]]) -> Assumption:
    """Faults, each with its part and the log of its odds, as bits."""
    opened = closed = 0
    fickle = []
    for place, fault, _ in chosen:
        if fault == PartFault.OPEN:
            opened |= 1 << place
        elif fault == PartFault.CLOSED:
            closed |= 1 << place
        else:
            fickle.append((place, fault == PartFault.SOMETIMES_OPEN))
    faults = tuple((place, fault) for place, fault, _ in chosen)
    return Assumption(faults, parts, opened, closed, tuple(fickle), sum(odds for _, _, odds in chosen))


def log_weight(assumption: Assumption, cases: Sequence[Case]) -> float | None:
    """The logarithm of prior odds times likelihood; None where it does not explain everything."""
    weight = assumption.odds
    for case in cases:
        chance = assumption.chance(case)
        if (case.yes and chance <= 0) or (case.no and chance >= 1):
            return None
        if case.yes:
            weight += case.yes * math.log(chance)
        if case.no:
            weight += case.no * math.log(1 - chance)
    return weight


def _candidates(model: CircuitModel, cases: Sequence[Case], most: int) -> list[int]:
    """Sets of parts of which every explanation includes one: the smallest that could explain it by any behavior."""
    kinds = [[fault for fault, _ in faults_of_part(model, part)] for part in model.parts]
    bits = {part.key: 1 << place for place, part in enumerate(model.parts)}
    opens = sum(1 << place for place, faults in enumerate(kinds) if any(fault in OPENING for fault in faults))
    closes = sum(1 << place for place, faults in enumerate(kinds) if any(fault not in OPENING for fault in faults))

    def explains(faulty: frozenset[str]) -> bool:
        free = sum(bits[key] for key in faulty)
        return all(_possible(case, free & opens, free & closes) for case in cases)

    diagnoses = smallest_diagnoses([part.key for part in model.parts], explains, most)
    return [sum(bits[key] for key in faulty) for faulty in diagnoses]


def _possible(case: Case, opened: int, closed: int) -> bool:
    """Whether parts that may be open or closed at will allow what was seen."""
    on, off = (case.no, case.yes) if case.inverted else (case.yes, case.no)
    return (not on or case.conducts(0, closed)) and (not off or not case.conducts(opened, 0))


def _smallest(sets: set[int]) -> set[int]:
    """Those that include no other."""
    found: list[int] = []
    for parts in sorted(sets, key=int.bit_count):
        if not any(not known & ~parts for known in found):
            found.append(parts)
    return set(found)


def _named(model: CircuitModel, assumption: Assumption) -> tuple[Fault, ...]:
    return tuple(Fault(model.parts[place].key, fault) for place, fault in assumption.faults)


def _conflict(model: CircuitModel, cases: Sequence[Case], most: int) -> tuple[int, ...]:
    """The fewest observations that nothing explains together, by leaving out one case after the other."""
    against = {
        frozenset(number for number, case in enumerate(cases) if log_weight(assumption, [case]) is None)
        for assumption in assumptions(model, most)
    }

    def fails(kept: Sequence[int]) -> bool:
        return all(not each.isdisjoint(kept) for each in against)

    return tuple(sorted(seen for number in smallest_part(range(len(cases)), fails) for seen in cases[number].seen))
