"""Circuits of machines, and what is observed on them: commands and refusals."""

from typing import Any

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import Circuit, CircuitObservation
from shopapi.bench.rules.default_circuits import default_circuit
from shopapi.bench.services.circuit import (
    add_circuit,
    edit_circuit,
    record_circuit_observation,
    remove_circuit,
    withdraw_circuit_observation,
)
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

WIRING = to_json(default_circuit("geared"))


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_circuit(crew: Crew) -> dict[str, Any]:
    """A job with a circuit of its machine."""
    job = work.a_job(crew.mechanic)
    with in_shop(crew.shop_id):
        machine = Job.objects.get(id=job).machine_id
    circuit = do(crew.mechanic, add_circuit, id=uuid7(), machine_id=machine, name="Start and kill", wiring=WIRING)
    return {"job_id": job, "circuit_id": circuit.id}


def faults_of(refused: pytest.ExceptionInfo[Invalid]) -> list[tuple[str, str]]:
    return [(fault.field, fault.code) for fault in refused.value.fields]


def test_an_observation_is_kept_and_withdrawn_by_a_row_of_its_own(crew: Crew) -> None:
    about = a_circuit(crew)
    seen = do(crew.mechanic, record_circuit_observation, id=uuid7(), **about, observation={"check": "crank", "yes": 0})
    assert seen.observation["controls"]["brake"] is True
    taken = do(crew.owner, withdraw_circuit_observation, id=uuid7(), **about, withdraws_id=seen.id)
    assert (taken.withdraws_id, taken.observation, taken.seen_by_id) == (seen.id, None, crew.owner.member_id)
    with in_shop(crew.shop_id), pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
        CircuitObservation.objects.filter(id=seen.id).update(observation=None)
    with pytest.raises(Invalid) as refused:
        do(crew.owner, withdraw_circuit_observation, id=uuid7(), **about, withdraws_id=taken.id)
    assert faults_of(refused) == [("withdraws_id", "no_such_observation")]


def test_a_circuit_with_observations_is_not_deleted(crew: Crew) -> None:
    about = a_circuit(crew)
    do(crew.mechanic, record_circuit_observation, id=uuid7(), **about, observation={"check": "run", "yes": 1})
    with pytest.raises(Conflict):
        do(crew.mechanic, remove_circuit, id=about["circuit_id"])
    other = a_circuit(crew)["circuit_id"]
    do(crew.mechanic, remove_circuit, id=other)
    with in_shop(crew.shop_id):
        assert not Circuit.objects.filter(id=other).exists()


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"crank": [], "kill": []}, "circuit_without_switch"),
        ({"crank": [{"contacts": [{"part": "battery"}]}], "kill": []}, "circuit_without_switch"),
        ({"parts": WIRING["parts"][1:]}, "part_unknown"),
        ({"parts": [*WIRING["parts"], WIRING["parts"][0]]}, "part_twice"),
    ],
)
def test_a_wrong_circuit_is_refused(crew: Crew, change: dict[str, Any], code: str) -> None:
    circuit = a_circuit(crew)["circuit_id"]
    edit = {"id": circuit, "base": {"wiring": WIRING}, "set": {"wiring": WIRING | change}}
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, edit_circuit, **edit)
    assert faults_of(refused) == [("wiring.parts", code)]


@pytest.mark.parametrize(
    ("seen", "fault"),
    [
        ({"check": "crank", "tries": 3, "yes": 4}, ("observation.yes", "more_than_tries")),
        ({"check": "voltage", "yes": 1}, ("observation.part", "measured_where")),
        ({"check": "run", "yes": 1, "part": "seat"}, ("observation.part", "measured_where")),
        (
            {"check": "run", "yes": 1, "controls": {"throttle": True}},
            ("observation.controls.throttle", "extra_forbidden"),
        ),
    ],
)
def test_a_wrong_observation_is_named(crew: Crew, seen: dict[str, Any], fault: tuple[str, str]) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, record_circuit_observation, id=uuid7(), **a_circuit(crew), observation=seen)
    assert faults_of(refused) == [fault]


def test_the_circuit_of_another_machine_is_refused(crew: Crew) -> None:
    about = {"circuit_id": a_circuit(crew)["circuit_id"], "job_id": a_circuit(crew)["job_id"]}
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, record_circuit_observation, id=uuid7(), **about, observation={"check": "run", "yes": 1})
    assert faults_of(refused) == [("circuit_id", "circuit_of_another_machine")]
