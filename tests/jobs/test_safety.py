"""A job is not ready while a safety finding is open; the customer's acknowledgement is kept as evidence."""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.rendering import render
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding, Job, SafetyAcknowledgement
from shopapi.jobs.rules import Decision, Disclosure, FindingRank, open_safety
from shopapi.jobs.services import acknowledge_finding, edit_finding, move_job, remove_finding
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "jobs" / "safety.json").read_text())
SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.mark.parametrize("vector", VECTORS)
def test_open_safety_vectors(vector: dict[str, Any]) -> None:
    told = [Disclosure(words) for words in vector["acknowledged"]]
    why = open_safety(FindingRank(vector["rank"]), Decision(vector["decided"]), vector["words"], told)
    assert why == vector["expect"]


def a_tested_job(crew: Crew, *findings: tuple[str, str]) -> tuple[UUID, list[UUID]]:
    """A job in testing with these findings, each by its words and rank."""
    job = work.a_job(crew.mechanic)
    found = [work.a_finding(crew.mechanic, job, words=words, rank=rank) for words, rank in findings]
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    return job, found


def decide(crew: Crew, job: UUID, finding: UUID, *, accept: int) -> None:
    """The customer answers a quote that repairs the finding: yes with `accept=1`, no with 0."""
    quote = work.a_draft(crew.owner, job)
    do(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **work.labor())
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    do(crew.owner, decide_quote, **work.decision_on(crew.owner, quote, accept=accept))


def acknowledged(finding: UUID, words: str) -> dict[str, Any]:
    return {
        "id": uuid7(),
        "finding_id": finding,
        "finding_words": words,
        "protection_lost": "Nothing stops the blades when you stand up",
        "acknowledged_by_name": "Winnie Stroud",
        "how": "call",
        "acknowledged_at": SEVEN,
    }


def ready(crew: Crew, job: UUID) -> str:
    stage: str = do(crew.mechanic, move_job, id=job, stage="ready").stage
    return stage


def test_ready_is_refused_with_the_findings_and_the_way_out(crew: Crew) -> None:
    findings = [("Seat switch sticks", "safety"), ("Brake does not hold", "safety"), ("Belt worn", "needed")]
    job, _ = a_tested_job(crew, *findings)
    with pytest.raises(Conflict) as refused:
        ready(crew, job)
    [fault] = refused.value.fields
    assert (refused.value.code, fault.field, fault.code) == ("safety_open", "stage", "safety_open")
    assert render(refused.value.reason) == (
        "Not ready yet, someone can get hurt: Seat switch sticks; Brake does not hold. Get the customer\u2019s answer"
        " on a quote that repairs it, or record on the finding that the customer knows and wants it left."
    )
    with in_shop(crew.shop_id):
        assert Job.objects.get(id=job).stage == "testing"
    # It still goes back to the bench.
    assert do(crew.mechanic, move_job, id=job, stage="repair").stage == "repair"


def test_an_accepted_repair_lets_the_job_be_ready(crew: Crew) -> None:
    job, [finding] = a_tested_job(crew, ("Seat switch sticks", "safety"))
    decide(crew, job, finding, accept=1)
    assert ready(crew, job) == "ready"


def test_a_declined_repair_needs_the_acknowledgement_of_just_these_words(crew: Crew) -> None:
    job, [finding] = a_tested_job(crew, ("Seat switch sticks", "safety"))
    decide(crew, job, finding, accept=0)
    with pytest.raises(Conflict):
        ready(crew, job)
    do(crew.mechanic, acknowledge_finding, **acknowledged(finding, "Seat switch sticks"))
    do(crew.mechanic, edit_finding, id=finding, base={"words": "Seat switch sticks"}, set={"words": "No seat switch"})
    with refuses(Conflict, "No seat switch"):
        ready(crew, job)
    do(crew.mechanic, acknowledge_finding, **acknowledged(finding, "No seat switch"))
    assert ready(crew, job) == "ready"


def test_an_acknowledgement_declines_what_was_undecided_and_stays(crew: Crew) -> None:
    job, [finding] = a_tested_job(crew, ("Seat switch sticks", "safety"))
    kept = do(crew.mechanic, acknowledge_finding, **acknowledged(finding, "Seat switch sticks"), note="Sells it in May")
    with in_shop(crew.shop_id):
        assert Finding.objects.get(id=finding).decided == "declined"
        row = SafetyAcknowledgement.objects.get(id=kept.id)
        assert (row.acknowledged_by_name, row.how, row.acknowledged_at) == ("Winnie Stroud", "call", SEVEN)
        assert (row.protection_lost, row.note) == ("Nothing stops the blades when you stand up", "Sells it in May")
        assert row.member_id == crew.mechanic.member_id
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            SafetyAcknowledgement.objects.filter(id=kept.id).update(note="Something else")
    with refuses(Conflict, "acknowledgement"):
        do(crew.mechanic, remove_finding, id=finding)
    assert ready(crew, job) == "ready"


def test_an_accepted_finding_stays_accepted_when_acknowledged(crew: Crew) -> None:
    job, [finding] = a_tested_job(crew, ("Seat switch sticks", "safety"))
    decide(crew, job, finding, accept=1)
    do(crew.mechanic, acknowledge_finding, **acknowledged(finding, "Seat switch sticks"))
    with in_shop(crew.shop_id):
        assert Finding.objects.get(id=finding).decided == "accepted"


def test_a_job_past_ready_goes_back_to_it_whatever_is_open(crew: Crew) -> None:
    job, _ = a_tested_job(crew, ("Seat switch sticks", "safety"))
    for stage in ("ready", "returned", "closed"):
        with in_shop(crew.shop_id):
            Job.objects.filter(id=job).update(stage=stage)
        after = {"ready": "returned", "returned": "ready", "closed": "returned"}[stage]
        assert do(crew.mechanic, move_job, id=job, stage=after).stage == after
