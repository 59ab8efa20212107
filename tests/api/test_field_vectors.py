"""Field errors: the server's side of the vectors that the phone runs as well.

Its side is `pwa/src/domain/validation/fieldFaults.test.ts`.
The limits are those of the schemas: none can be added without the phone.
"""

import json
from collections.abc import Iterator
from copy import deepcopy
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from shopapi.core.errors import Invalid
from shopapi.core.schema import Schema, parse
from shopapi.dispatch.rules.schemas.rig import RigFields, faults_of_rig
from shopapi.dispatch.rules.schemas.stop import StopFields, faults_of_stop
from shopapi.dispatch.rules.schemas.yard import YardFields, faults_of_yard
from shopapi.labor.rules.clock import anomaly_in
from shopapi.labor.rules.entry import WorkDetails, faults_of
from shopapi.machines.rules import MachineFields

FILE = Path(__file__).parents[2] / "fixtures" / "fields" / "refused.json"
VECTORS = json.loads(FILE.read_text(encoding="utf-8"))
SCHEMAS: dict[str, type[Schema]] = {
    "rig": RigFields,
    "yard": YardFields,
    "stop": StopFields,
    "machine": MachineFields,
    "work": WorkDetails,
}
# "breaks" of a rig stand in a list; their limits are tried on the first.
FIRST_OF_A_LIST = ".0."


def with_change(of: str, change: dict[str, Any]) -> dict[str, Any]:
    row: dict[str, Any] = deepcopy(VECTORS["bases"][of])
    for path, value in change.items():
        *way, last = (int(step) if step.isdigit() else step for step in path.split("."))
        holder: Any = row
        for step in way:
            holder = holder[step]
        holder[last] = value
    return row


def field_errors(of: str, row: dict[str, Any]) -> list[list[str]]:
    try:
        fields = parse(SCHEMAS[of], row)
    except Invalid as refused:
        return sorted([fault.field, fault.code] for fault in refused.fields)
    across = {"rig": faults_of_rig, "yard": faults_of_yard, "stop": faults_of_stop, "work": faults_of}
    check: Any = across.get(of, lambda _: [])
    return sorted([fault.field, fault.code] for fault in check(fields))


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: f"{case['of']}: {case['says']}")
def test_field_errors_match_the_phone(case: dict[str, Any]) -> None:
    assert field_errors(case["of"], with_change(case["of"], case["change"])) == case["faults"]


def limits_of(part: str) -> list[tuple[str, str, int, int]]:
    return [(of, path, *ends) for of, limits in VECTORS[part].items() for path, ends in limits.items()]


# What these figures are compared with is taken out, so that each is tried by itself.
UNRELATED = {"rig": {"ramp_length_cm": None}, "yard": {}, "stop": {}, "machine": {}}


@pytest.mark.parametrize(("of", "path", "least", "most"), limits_of("limits"))
def test_number_limits_match_the_phone(of: str, path: str, least: int, most: int) -> None:
    def errors_with(value: int) -> list[list[str]]:
        beside = UNRELATED[of] | ({"deck.height_cm": None} if path == "ramp_length_cm" else {})
        found = field_errors(of, with_change(of, {**beside, path: value}))
        return [fault for fault in found if fault[1] != "range_ends_first"]

    assert [errors_with(least), errors_with(most)] == [[], []]
    assert errors_with(least - 1) == [[path, "greater_than_equal"]]
    assert errors_with(most + 1) == [[path, "less_than_equal"]]


@pytest.mark.parametrize(("of", "path", "least", "most"), limits_of("lengths"))
def test_text_lengths_match_the_phone(of: str, path: str, least: int, most: int) -> None:
    assert [field_errors(of, with_change(of, {path: "x" * length})) for length in (least, most)] == [[], []]
    assert field_errors(of, with_change(of, {path: "x" * (most + 1)})) == [[path, "too_long"]]
    if least:
        assert field_errors(of, with_change(of, {path: ""})) == [[path, "too_short"]]


def test_the_vectors_know_every_limit_of_these_schemas() -> None:
    for of in VECTORS["limits"]:
        found = dict(limits_in(SCHEMAS[of].model_json_schema()))
        assert found == {path.replace(FIRST_OF_A_LIST, "."): ends for path, ends in VECTORS["limits"][of].items()}, of


def limits_in(schema: dict[str, Any], known: dict[str, Any] | None = None, under: str = "") -> Iterator[Any]:
    """Paths of whole numbers with the least and the most of each, through the schemas that this one is made of."""
    known = known or schema.get("$defs", {})
    for name, field in schema.get("properties", {}).items():
        for kind in [field, *field.get("anyOf", []), field.get("items", {})]:
            if "$ref" in kind:
                yield from limits_in(known[kind["$ref"].rsplit("/", 1)[1]], known, f"{under}{name}.")
            elif kind.get("type") == "integer":
                yield f"{under}{name}", [kind["minimum"], kind["maximum"]]


@pytest.mark.parametrize(("started_at", "ended_at", "anomaly"), VECTORS["spans"])
def test_span_anomalies_match_the_phone(started_at: str, ended_at: str | None, anomaly: str) -> None:
    read = datetime.fromisoformat
    now = read(VECTORS["now"])
    assert (anomaly_in(read(started_at), read(ended_at) if ended_at else None, now) or "") == anomaly
