"""Tests before release: the rules against their vectors, results that count, and what cannot be."""

import json
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import RunTest
from shopapi.bench.rules.checks import NewCheckList
from shopapi.bench.rules.run_tests import (
    PlannedTest,
    RunTestKind,
    RunTestRow,
    choose_test_list,
    listed_tests,
    machine_class,
    planned_tests,
    run_test_faults,
    summarize_tests,
    with_rows,
)
from shopapi.bench.services.run_tests import record_run_test
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "run_tests.json").read_text())
SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@dataclass(frozen=True)
class Outcome:
    id: UUID
    kind: str
    item: str
    outcome: str
    tested_at: datetime
    value: Decimal | None = None
    unit: str = ""
    tries: int | None = None
    good: int | None = None


def plan_of(rows: list[dict[str, str]]) -> list[PlannedTest]:
    return [PlannedTest(kind=RunTestKind(row["kind"]), item=row["item"]) for row in rows]


@pytest.mark.parametrize(("kind", "expected"), VECTORS["classes"])
def test_class_of_a_machine(kind: str, expected: str) -> None:
    assert machine_class(kind) == expected


@pytest.mark.parametrize("vector", VECTORS["planned"])
def test_complaints_ask_for_more_tests(vector: dict[str, Any]) -> None:
    assert planned_tests(plan_of(vector["listed"]), vector["complaints"]) == plan_of(vector["expect"])


@pytest.mark.parametrize("vector", VECTORS["listed"])
def test_the_tests_of_a_list(vector: dict[str, Any]) -> None:
    assert listed_tests(vector["items"]) == plan_of(vector["expect"])


@pytest.mark.parametrize("vector", VECTORS["chosen"])
def test_the_list_for_a_machine(vector: dict[str, Any]) -> None:
    found = choose_test_list([NewCheckList(id=uuid7(), **each) for each in vector["lists"]], vector["kind"])
    assert (found and found.name) == vector["expect"]


@pytest.mark.parametrize("vector", VECTORS["with_rows"])
def test_the_interlock_test_has_its_rows(vector: dict[str, Any]) -> None:
    assert with_rows(plan_of(vector["planned"]), vector["rows"]) == plan_of(vector["expect"])


@pytest.mark.parametrize("vector", VECTORS["faults"])
def test_what_cannot_be(vector: dict[str, Any]) -> None:
    row = vector["test"]
    value = row["value"] and Decimal(row["value"])
    given = Outcome(uuid7(), row["kind"], "", "passed", SEVEN, value, row["unit"], row["tries"], row["good"])
    assert [[fault.field, fault.code] for fault in run_test_faults(given)] == vector["expect"]


@pytest.mark.parametrize("vector", VECTORS["summaries"])
def test_summary(vector: dict[str, Any]) -> None:
    results = [
        Outcome(
            UUID(row["id"]), row["kind"], row["item"], row["outcome"],
            datetime.fromisoformat(row["tested_at"]),
        )
        for row in vector["results"]
    ]  # fmt: skip
    for given in (results, results[::-1]):
        found = summarize_tests(plan_of(vector["planned"]), given)
        assert {
            "passed": [int(each.id.hex[-12:]) for each in found.passed],
            "failed": [int(each.id.hex[-12:]) for each in found.failed],
            "not_done": [{"kind": test.kind.value, "item": test.item} for test in found.not_done],
            "left_out": [int(each.id.hex[-12:]) for each in found.left_out],
        } == vector["expect"]


def test_a_result_is_kept_as_typed_and_never_changed(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    at = {"job_id": job, "kind": "charge_voltage", "unit": "V", "expected": "13.5 to 15.0 V"}
    do(crew.mechanic, record_run_test, id=uuid7(), value="12.10", outcome="failed", tested_at=SEVEN, **at)
    later = SEVEN + timedelta(minutes=20)
    do(crew.mechanic, record_run_test, id=uuid7(), value="14.20", outcome="passed", tested_at=later, **at)
    with in_shop(crew.shop_id):
        rows = RunTest.objects.filter(job_id=job)
        results = [RunTestRow.model_validate(row) for row in rows]
        found = summarize_tests([PlannedTest(kind=RunTestKind.CHARGE_VOLTAGE)], results)
        assert [(row.value, row.unit, row.expected) for row in found.passed] == [
            (Decimal("14.2"), "V", "13.5 to 15.0 V")
        ]
        assert (found.failed, found.not_done) == ([], [])
        assert {row.member_id for row in rows} == {crew.mechanic.member_id}
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            rows.update(outcome="passed")


@pytest.mark.parametrize(
    ("given", "fields"),
    [
        ({"kind": "starts", "tries": 12, "good": 13}, ["good"]),
        ({"kind": "starts", "tries": -1, "good": -1}, ["tries", "good"]),
        ({"kind": "idle_speed", "value": "1750", "unit": "V"}, ["unit"]),
        ({"kind": "idle_speed", "value": "-5", "unit": "rpm"}, ["value"]),
        ({"kind": "idle_speed", "value": "1e3", "unit": "rpm"}, ["value"]),
        ({"kind": "starts", "tries": 10_001, "good": 1}, ["tries"]),
    ],
)
def test_a_result_that_cannot_be_names_its_field(crew: Crew, given: dict[str, Any], fields: list[str]) -> None:
    with pytest.raises(Invalid) as refused:
        do(
            crew.mechanic, record_run_test, id=uuid7(), job_id=work.a_job(crew.mechanic), outcome="passed",
            tested_at=SEVEN, **given,
        )  # fmt: skip
    assert [fault.field for fault in refused.value.fields] == fields
