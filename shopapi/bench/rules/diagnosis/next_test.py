"""The test to do next: the most expected information a minute, among measurements and the maker's own test rows.

The information of a test is the drop of entropy that is expected of its answer, in bits, over the heaviest explanations
(MOST_WEIGHED). Of several tries only “all as a good circuit answers” or not counts. No test changes the circuit: parts
are measured unplugged with the key out, or work as the operator's manual tests them.
Twin: `pwa/src/domain/bench/diagnosis/nextTest.ts`.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopapi.bench.rules.circuit import (
    CircuitCheck,
    CircuitContact,
    CircuitModel,
    CircuitPartKind,
    Control,
    ControlStates,
    Observation,
    contacts_of,
    expects,
)
from shopapi.bench.rules.diagnosis.explanations import Explanation, assumption_of
from shopapi.bench.rules.diagnosis.faults import Case, case_of

MOST_WEIGHED = 400
LEAST_BITS = 1e-6
SEVERAL = 5
# Minutes of a test; assumptions, without a source.
CRANK, CRANK_SEVERAL, RUN, VOLTAGE, VOLTAGE_SEVERAL, CONTINUITY, SHAKING = 1, 2, 3, 4, 5, 6, 1
READY = ControlStates()
MEASURED = (
    CircuitPartKind.SWITCH,
    CircuitPartKind.RELAY,
    CircuitPartKind.CONNECTOR,
    CircuitPartKind.WIRE,
    CircuitPartKind.FUSE,
)
# The rows of published interlock tests, each with the controls that it needs in the chain.
CRANK_ROWS = (
    (READY, ()),
    (ControlStates(pto=True), (Control.PTO,)),
    (ControlStates(brake=False), (Control.BRAKE,)),
    (ControlStates(neutral=False), (Control.NEUTRAL,)),
    (ControlStates(seat=False), (Control.SEAT,)),
)
RUN_ROWS = (
    (READY, ()),
    (ControlStates(seat=False), (Control.SEAT,)),
    (ControlStates(seat=False, brake=False), (Control.SEAT, Control.BRAKE)),
    (ControlStates(seat=False, pto=True), (Control.SEAT, Control.PTO)),
    (ControlStates(pto=True, neutral=False, reverse=True), (Control.REVERSE,)),
    (ControlStates(pto=True, neutral=False, reverse=True, override=True), (Control.REVERSE, Control.OVERRIDE)),
    (ControlStates(key=False), (Control.KEY,)),
)


@dataclass(frozen=True)
class CircuitTest:
    """A test of one observation, how long it takes, and whether a circuit without fault answers yes."""

    check: CircuitCheck
    controls: ControlStates
    minutes: int
    expected: bool
    part: str | None = None
    tries: int = 1
    shaken: bool = False


@dataclass(frozen=True)
class RatedTest:
    """`bits`: expected information; `chance`: that it answers as a circuit without fault does."""

    test: CircuitTest
    bits: float
    chance: float


@dataclass(frozen=True)
class Advice:
    """Tests that tell something, the best first; those that fit the time that is left come alone.

    `alike`: groups of explanations, by number, that no test in the list can tell apart. `too_long`: there are tests
    that tell something, but none fits the time.
    """

    tests: tuple[RatedTest, ...]
    alike: tuple[tuple[int, ...], ...]
    too_long: bool


def tests_of(model: CircuitModel) -> Iterator[CircuitTest]:
    """Every test that is proposed for a circuit."""
    if model.crank:
        for controls in _rows(CRANK_ROWS, [contact for way in model.crank for contact in way.contacts]):
            good = expects(model, CircuitCheck.CRANK, None, controls)
            yield CircuitTest(CircuitCheck.CRANK, controls, CRANK, good)
            if controls == READY:
                yield CircuitTest(CircuitCheck.CRANK, controls, CRANK_SEVERAL, good, tries=SEVERAL)
                yield CircuitTest(CircuitCheck.CRANK, controls, CRANK + SHAKING, good, shaken=True)
    if model.kill:
        for controls in _rows(RUN_ROWS, [contact for way in model.kill for contact in way.contacts]):
            yield CircuitTest(CircuitCheck.RUN, controls, RUN, expects(model, CircuitCheck.RUN, None, controls))
        good = expects(model, CircuitCheck.RUN, None, READY)
        yield CircuitTest(CircuitCheck.RUN, READY, RUN + SHAKING, good, shaken=True)
    for key in dict.fromkeys(contact.part for way in model.crank for contact in way.contacts[:-1]):
        good = expects(model, CircuitCheck.VOLTAGE, key, READY)
        yield CircuitTest(CircuitCheck.VOLTAGE, READY, VOLTAGE, good, key)
        yield CircuitTest(CircuitCheck.VOLTAGE, READY, VOLTAGE_SEVERAL, good, key, tries=SEVERAL)
    yield from _continuities(model)


def _rows(
    rows: Sequence[tuple[ControlStates, tuple[Control, ...]]], contacts: Sequence[CircuitContact]
) -> Iterator[ControlStates]:
    known = {contact.control for contact in contacts}
    return (controls for controls, needed in rows if known.issuperset(needed))


def _continuities(model: CircuitModel) -> Iterator[CircuitTest]:
    first: dict[str, CircuitContact] = {}
    for contact in contacts_of(model):
        first.setdefault(contact.part, contact)
    for part in model.parts:
        if part.kind not in MEASURED or part.key not in first:
            continue
        minutes = part.minutes or CONTINUITY
        contact = first[part.key]
        states = [READY]
        if contact.control:
            states.append(READY.model_copy(update={contact.control.value: not getattr(READY, contact.control)}))
        for controls in states:
            good = expects(model, CircuitCheck.CONTINUITY, part.key, controls)
            for shaken in (False, True):
                took = minutes + SHAKING * shaken
                yield CircuitTest(CircuitCheck.CONTINUITY, controls, took, good, part.key, shaken=shaken)


def advise(model: CircuitModel, explanations: Sequence[Explanation], minutes_left: int, shown: int = 0) -> Advice:
    """The next test for explanations, heaviest first, and which of the first `shown` cannot be told apart."""
    weighed = explanations[:MOST_WEIGHED]
    total = sum(each.weight for each in weighed)
    places = {part.key: place for place, part in enumerate(model.parts)}
    assumed = [assumption_of(0, [(places[fault.part], fault.fault, 0.0) for fault in each.faults]) for each in weighed]
    rated: list[RatedTest] = []
    answers: list[list[float]] = [[] for _ in assumed[:shown]]
    for test in tests_of(model):
        case = _case(model, test)
        chances = [_as_expected(test, each.chance(case)) for each in assumed]
        for number in range(len(answers)):
            answers[number].append(chances[number])
        chance = sum(each.weight * good for each, good in zip(weighed, chances, strict=True)) / (total or 1)
        inside = sum(each.weight * _entropy(good) for each, good in zip(weighed, chances, strict=True)) / (total or 1)
        bits = _entropy(chance) - inside
        if bits > LEAST_BITS:
            rated.append(RatedTest(test, bits, chance))
    fitting = [each for each in rated if each.test.minutes <= minutes_left]
    best = sorted(fitting, key=lambda each: -each.bits / each.test.minutes)
    return Advice(tuple(best), _alike(answers), bool(rated) and not fitting)


def _case(model: CircuitModel, test: CircuitTest) -> Case:
    seen = Observation(check=test.check, part=test.part, controls=test.controls, yes=0, shaken=test.shaken)
    case = case_of(model, seen)
    if case is None:
        raise AssertionError("a test is of a part that the circuit has")
    return case


def _as_expected(test: CircuitTest, chance: float) -> float:
    """The chance that every try answers as a circuit without fault does."""
    good: float = (chance if test.expected else 1 - chance) ** test.tries
    return good


def _entropy(chance: float) -> float:
    if chance <= 0 or chance >= 1:
        return 0.0
    return -chance * math.log2(chance) - (1 - chance) * math.log2(1 - chance)


def _alike(answers: Sequence[Sequence[float]]) -> tuple[tuple[int, ...], ...]:
    by_answers: dict[tuple[int, ...], list[int]] = {}
    for number, each in enumerate(answers):
        by_answers.setdefault(tuple(round(chance * 10**9) for chance in each), []).append(number)
    return tuple(tuple(numbers) for numbers in by_answers.values() if len(numbers) > 1)
