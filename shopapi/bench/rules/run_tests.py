"""Tests before a machine is released: what is on the list, what was seen, and which of the results counts.

Twin: `pwa/src/domain/bench/runTests.ts`; both run the vectors of `fixtures/bench/run_tests.json`.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Generic, Literal, Protocol, TypeVar
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.quantities import UNITS, Quantity
from shopapi.core.schema import MOST_LABEL, DecimalText, Label, Moment, OptionalText, Row, Schema

MOST_TRIES = 10_000


class RunTestKind(TextEnum):
    """What is tested. INTERLOCK: one row of the interlock table, named by `item`. OTHER: what the shop calls `item`."""

    LEAKS = "leaks"
    BLEED_CYCLES = "bleed_cycles"
    CHARGE_VOLTAGE = "charge_voltage"
    IDLE_SPEED = "idle_speed"
    GOVERNED_SPEED = "governed_speed"
    BRAKE_HOLD = "brake_hold"
    BLADE_STOP_TIME = "blade_stop_time"
    INTERLOCK = "interlock"
    HEAT_SOAK = "heat_soak"
    STARTS = "starts"
    OTHER = "other"


class RunTestOutcome(TextEnum):
    """NOT_DONE: somebody says that it was left out, and why in words."""

    PASSED = "passed"
    FAILED = "failed"
    NOT_DONE = "not_done"


# What the value of a test measures; the others have none.
QUANTITIES: Mapping[RunTestKind, Quantity] = {
    RunTestKind.CHARGE_VOLTAGE: Quantity.VOLTAGE,
    RunTestKind.IDLE_SPEED: Quantity.ROTATION,
    RunTestKind.GOVERNED_SPEED: Quantity.ROTATION,
    RunTestKind.BLADE_STOP_TIME: Quantity.TIME,
}
MachineClass = TypeAliasType("MachineClass", Literal["tractor", "zero_turn", "walk_behind", "other"])

# The kind of a machine is free text. The first that is found counts.
_CLASSES: Sequence[tuple[MachineClass, str]] = (
    ("zero_turn", r"zero.?turn|\bz.?turn|giro cero"),
    ("walk_behind", r"walk|push.?mower|self.?propelled"),
    ("tractor", r"tractor|rider|riding|ride.?on"),
)

_RIDE_ON = (
    RunTestKind.LEAKS,
    RunTestKind.CHARGE_VOLTAGE,
    RunTestKind.IDLE_SPEED,
    RunTestKind.GOVERNED_SPEED,
    RunTestKind.BRAKE_HOLD,
    RunTestKind.BLADE_STOP_TIME,
    RunTestKind.INTERLOCK,
)
# Common practice, no source; a shop has its own list where it wants another.
DEFAULT_TESTS: Mapping[str, Sequence[RunTestKind]] = {
    "tractor": _RIDE_ON,
    "zero_turn": _RIDE_ON,
    "walk_behind": (
        RunTestKind.LEAKS,
        RunTestKind.GOVERNED_SPEED,
        RunTestKind.BLADE_STOP_TIME,
        RunTestKind.INTERLOCK,
    ),
    "other": (RunTestKind.LEAKS, RunTestKind.IDLE_SPEED, RunTestKind.GOVERNED_SPEED),
}
_INTERMITTENT = r"sometimes|at times|intermittent|now and then|off and on|on and off|random|once in a while"
_HOT = r"\bhot\b|\bwarm"


def machine_class(kind: str) -> MachineClass:
    """The class of a machine by its kind as typed; `other` where the words say none.

    >>> machine_class("Garden tractor"), machine_class("zero-turn mower"), machine_class("Chainsaw")
    ('tractor', 'zero_turn', 'other')
    """
    return next((name for name, words in _CLASSES if re.search(words, kind, re.IGNORECASE)), "other")


# The purpose of the check lists that are lists of tests.
TEST_PURPOSE = "testing"
# What an item of such a list is called where it is a test that the app knows; any other is a test by its words.
NAMES: Mapping[str, RunTestKind] = {
    "leaks": RunTestKind.LEAKS,
    "cooling system bled": RunTestKind.BLEED_CYCLES,
    "charging voltage": RunTestKind.CHARGE_VOLTAGE,
    "idle speed": RunTestKind.IDLE_SPEED,
    "governed speed": RunTestKind.GOVERNED_SPEED,
    "brake holds": RunTestKind.BRAKE_HOLD,
    "blade stopping time": RunTestKind.BLADE_STOP_TIME,
    "safety switches": RunTestKind.INTERLOCK,
    "hot restart": RunTestKind.HEAT_SOAK,
    "counted starts": RunTestKind.STARTS,
}


class ListOfTests(Protocol):
    """A check list as a row or a model has it."""

    @property
    def purpose(self) -> str: ...
    @property
    def machine_kind(self) -> str: ...


AnyList = TypeVar("AnyList", bound=ListOfTests)


def choose_test_list(lists: Iterable[AnyList], kind: str) -> AnyList | None:
    """The shop's own list of tests for a kind of machine: the first for just it, else any that fits."""
    fitting = [
        each
        for each in lists
        if each.purpose.strip().lower() == TEST_PURPOSE and each.machine_kind.strip().lower() in kind.strip().lower()
    ]
    return next((each for each in fitting if each.machine_kind.strip()), fitting[0] if fitting else None)


def listed_tests(items: Iterable[str]) -> list["PlannedTest"]:
    """The tests of a list by the words of its items, each once."""
    tests = []
    for words in items:
        plain = words.strip()
        known = NAMES.get(plain.lower())
        test = PlannedTest(kind=known) if known else PlannedTest(kind=RunTestKind.OTHER, item=plain[:MOST_LABEL])
        if test not in tests:
            tests.append(test)
    return tests


def planned_tests(listed: Sequence["PlannedTest"], complaints: Iterable[str]) -> list["PlannedTest"]:
    """The list for one job: that of its class of machine, and what its complaints ask for.

    A complaint that comes and goes asks for counted starts, one that depends on heat for a heat soak.
    """
    text = "\n".join(complaints)
    asked = ((_INTERMITTENT, RunTestKind.STARTS), (_HOT, RunTestKind.HEAT_SOAK))
    more = [PlannedTest(kind=kind) for words, kind in asked if re.search(words, text, re.IGNORECASE)]
    return [*listed, *(test for test in more if test not in listed)]


class PlannedTest(Schema):
    """One test of a list. `item`: its name, for those of the shop's own."""

    kind: RunTestKind
    item: Label = ""


class RunTestRecord(Schema):
    """The result of one test on one job; a later one of the same kind and item counts.

    `expected` and `seen`: a code of `interlock_rows`, or words. `value` in `unit`: what was measured. `tries`: starts,
    of which `good` went well, or bleed cycles until the level was steady.
    """

    id: UUID
    job_id: UUID
    kind: RunTestKind
    item: Label = ""
    outcome: RunTestOutcome
    expected: Label = ""
    seen: Label = ""
    value: DecimalText | None = None
    unit: Annotated[Label, Field(max_length=20)] = ""
    tries: Annotated[int, Field(le=MOST_TRIES)] | None = None
    good: Annotated[int, Field(le=MOST_TRIES)] | None = None
    words: OptionalText = ""
    tested_at: Moment


class RunTestRow(Row):
    job_id: UUID
    kind: RunTestKind
    item: str
    outcome: RunTestOutcome
    expected: str
    seen: str
    value: DecimalText | None
    unit: str
    tries: int | None
    good: int | None
    words: str
    tested_at: AwareDatetime
    member_id: UUID | None


class Tested(Protocol):
    """A result as a record, a row or a model has it."""

    @property
    def kind(self) -> str: ...
    @property
    def item(self) -> str: ...
    @property
    def value(self) -> Decimal | None: ...
    @property
    def unit(self) -> str: ...
    @property
    def tries(self) -> int | None: ...
    @property
    def good(self) -> int | None: ...


def run_test_faults(test: Tested) -> list[FieldError]:
    """What cannot be: a negative value, a unit of another quantity, more good tries than tries."""
    faults = []
    kind = RunTestKind(test.kind)
    if test.value is not None:
        if test.value < 0:
            faults.append(FieldError("value", "negative_value"))
        unit = UNITS.get(test.unit)
        if unit is None or unit.quantity != QUANTITIES.get(kind):
            faults.append(FieldError("unit", "unit_does_not_fit", context={"unit": test.unit}))
    counts = {"tries": test.tries, "good": test.good}
    faults += [FieldError(name, "negative_value") for name, count in counts.items() if (count or 0) < 0]
    if test.good is not None and test.good > (test.tries or 0):
        faults.append(FieldError("good", "more_good_than_tries"))
    return faults


class Result(Tested, Protocol):
    """A result that is stored."""

    @property
    def id(self) -> UUID: ...
    @property
    def outcome(self) -> str: ...
    @property
    def tested_at(self) -> datetime: ...


AnyResult = TypeVar("AnyResult", bound=Result)


@dataclass(frozen=True)
class ReleaseSummary(Generic[AnyResult]):
    """What was tested and what was not. `passed` and `failed`: the results that count, in the order of the list.

    `not_done`: tests of the list without a result, or left out; `left_out`: the results that say so.
    """

    passed: Sequence[AnyResult]
    failed: Sequence[AnyResult]
    not_done: Sequence[PlannedTest]
    left_out: Sequence[AnyResult]


def with_rows(planned: Iterable[PlannedTest], rows: Sequence[str]) -> list[PlannedTest]:
    """A list with the interlock test as one test for each of its rows; without rows it stays one test."""
    return [
        each
        for test in planned
        for each in (
            [PlannedTest(kind=test.kind, item=row) for row in rows]
            if test.kind == RunTestKind.INTERLOCK and not test.item and rows
            else [test]
        )
    ]


def latest_results(results: Iterable[AnyResult]) -> dict[tuple[str, str], AnyResult]:
    """The result that counts of each kind and item: the last by its time, then by its id."""
    ordered = sorted(results, key=lambda result: (result.tested_at, result.id))
    return {(result.kind, result.item): result for result in ordered}


def summarize_tests(planned: Sequence[PlannedTest], results: Iterable[AnyResult]) -> ReleaseSummary[AnyResult]:
    """Sums up the tests of a job. Tests that are not on the list follow those on it, by time."""
    latest = latest_results(results)
    places = {(test.kind.value, test.item): at for at, test in enumerate(planned)}
    counted = sorted(
        latest.values(),
        key=lambda result: (places.get((result.kind, result.item), len(places)), result.tested_at, result.id),
    )
    by_outcome = {outcome: [each for each in counted if each.outcome == outcome] for outcome in RunTestOutcome}
    done = {key for key, result in latest.items() if result.outcome != RunTestOutcome.NOT_DONE}
    return ReleaseSummary(
        by_outcome[RunTestOutcome.PASSED],
        by_outcome[RunTestOutcome.FAILED],
        [test for test in planned if (test.kind.value, test.item) not in done],
        by_outcome[RunTestOutcome.NOT_DONE],
    )
