"""Gauges and readings: what is stored, copied, decided and refused."""

import json
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import Gauge, Reading
from shopapi.bench.rules.gauges import GaugeFields, gauge_faults
from shopapi.bench.rules.readings import ReadingRecord, reading_faults, si_of, verdict_of
from shopapi.bench.services.gauges import add_gauge, edit_gauge
from shopapi.bench.services.readings import record_reading
from shopapi.core.errors import Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "readings.json").read_text())
EIGHT = datetime(2026, 5, 5, 8, 0, tzinfo=UTC)
CALIPER = {"name": "Caliper", "quantity": "length", "unit": "mm", "resolution": "0.01", "uncertainty": "0.02"}
LIMIT = {"what": "Air gap", "quantity": "length", "unit": "mm", "low": "0.20", "high": "0.30"}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_record(**fields: Any) -> ReadingRecord:
    of = {"id": str(uuid7()), "job_id": str(uuid7()), "what": "Air gap", "taken_at": EIGHT.isoformat()}
    return parse(ReadingRecord, of | fields)


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_reading_vectors(vector: dict[str, Any]) -> None:
    given = {name: value for name, value in vector.items() if name not in ("name", "verdict", "si", "faults")}
    reading = a_record(**given)
    assert [f"{fault.field}:{fault.code}" for fault in reading_faults(reading)] == vector["faults"]
    assert si_of(reading) == vector["si"]
    if not vector["faults"]:
        assert verdict_of(reading) == vector["verdict"]


def taken(job: UUID, value: str, **more: Any) -> dict[str, Any]:
    return {"id": uuid7(), "job_id": job, "what": "Air gap", "unit": "mm", "value": value, "taken_at": EIGHT, **more}


def copied(gauge: Gauge) -> dict[str, Any]:
    return {"gauge_id": gauge.id, "name": gauge.name, "unit": gauge.unit, "uncertainty": gauge.uncertainty}


def test_a_reading_keeps_its_gauge_and_limit_as_they_were(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    gauge = do(crew.mechanic, add_gauge, id=uuid7(), **CALIPER)
    made = do(crew.mechanic, record_reading, **taken(job, "0.250", gauge=copied(gauge), limit=LIMIT))
    do(crew.owner, edit_gauge, id=gauge.id, base={"uncertainty": "0.02"}, set={"uncertainty": "0.2"})
    with in_shop(crew.shop_id):
        row = Reading.objects.get(id=made.id)
        assert (row.value, row.unit, Decimal(row.si), row.verdict) == ("0.250", "mm", Decimal("0.00025"), "within")
        assert row.machine_id == Job.objects.get(id=job).machine_id
        assert row.gauge is not None
        assert row.limit is not None
        assert (row.gauge["uncertainty"], row.limit["high"], row.limit["limit_id"]) == ("0.02", "0.30", None)
        assert row.taken_by_id == crew.mechanic.member_id
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            Reading.objects.update(value="0.3")


def test_a_wrong_value_is_corrected_by_another_reading(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    wrong = do(crew.mechanic, record_reading, **taken(job, "2.5", limit=LIMIT))
    right = do(crew.mechanic, record_reading, **taken(job, "0.25", limit=LIMIT, corrects_id=wrong.id))
    again = do(
        crew.mechanic, record_reading, **taken(job, "0.26", limit=LIMIT, repeat_of_id=right.id, second_method=True)
    )
    assert (right.corrects_id, again.repeat_of_id, again.second_method) == (wrong.id, right.id, True)
    with in_shop(crew.shop_id):
        assert Reading.objects.count() == 3


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"value": ""}, "value", "Enter what you read"),
        ({"unit": "furlong"}, "unit", "Some fields need correcting"),
        ({"limit": LIMIT | {"low": "0.30", "high": "0.20"}}, "limit.high", "below the lowest"),
        ({"limit": LIMIT | {"quantity": "pressure", "unit": "psi"}}, "limit.unit", "don't measure the same"),
        ({"limit": LIMIT | {"unit": "psi"}}, "limit.unit", "don't measure the same"),
    ],
)
def test_bad_input_names_its_field(crew: Crew, wrong: dict[str, Any], field: str, sentence: str) -> None:
    with refuses(Invalid, sentence) as refused:
        do(crew.mechanic, record_reading, **taken(work.a_job(crew.mechanic), "0.25") | wrong)
    assert refused.value.fields[0].field == field


def test_a_reading_names_rows_of_the_shop(crew: Crew) -> None:
    for wrong in ("job_id", "repeat_of_id", "corrects_id"):
        with pytest.raises(NotFound) as refused:
            do(crew.mechanic, record_reading, **taken(work.a_job(crew.mechanic), "0.25") | {wrong: uuid7()})
        assert refused.value.fields[0].field == wrong


@pytest.mark.parametrize(
    ("wrong", "faults"),
    [
        ({}, []),
        ({"unit": "psi"}, ["unit:unit_of_another_quantity"]),
        ({"uncertainty": "0.000"}, ["uncertainty:uncertainty_zero"]),
        ({"blades": ["0.1"]}, ["blades:blades_of_measuring_gauge"]),
        ({"blades": ["0.1"], "kind": "go_no_go"}, []),
    ],
)
def test_gauge_faults(wrong: dict[str, Any], faults: list[str]) -> None:
    found = gauge_faults(parse(GaugeFields, CALIPER | wrong))
    assert [f"{fault.field}:{fault.code}" for fault in found] == faults


@pytest.mark.parametrize(("missing", "field"), [({"unit": ""}, "unit"), ({"uncertainty": ""}, "uncertainty")])
def test_a_gauge_needs_its_unit_and_how_sure_it_is(crew: Crew, missing: dict[str, Any], field: str) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, add_gauge, id=uuid7(), **CALIPER | missing)
    assert [fault.field for fault in refused.value.fields] == [field]


def test_a_gauge_is_edited_as_a_whole(crew: Crew) -> None:
    gauge = do(crew.mechanic, add_gauge, id=uuid7(), **CALIPER)
    with refuses(Invalid, "doesn't measure that"):
        do(crew.owner, edit_gauge, id=gauge.id, base={"unit": "mm"}, set={"unit": "psi"})
    assert do(crew.owner, edit_gauge, id=gauge.id, base={"archived": False}, set={"archived": True}).archived
