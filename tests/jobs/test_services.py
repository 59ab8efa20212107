"""Jobs: every pair of stages, numbers without gaps, refusals."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import product

import pytest
from django.db import connection, transaction

from shopapi.core.errors import Conflict, DomainError, Forbidden, Invalid, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Complaint, Finding, Job
from shopapi.jobs.rules import JOB_TRANSITIONS, NewJob, Stage
from shopapi.jobs.services import edit_finding, edit_job, move_job, open_job, record_finding, remove_finding
from shopapi.quotes.services.drafts import put_quote_line
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def events(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        return list(AuditEvent.objects.order_by("id").values_list("event", flat=True))


def test_job_is_opened_numbered_and_audited(crew: Crew) -> None:
    first, second = work.a_job(crew.mechanic), work.a_job(crew.mechanic)
    with in_shop(crew.shop_id):
        assert [Job.objects.get(id=one).number for one in (first, second)] == ["J-1001", "J-1002"]
        event = AuditEvent.objects.get(subject_id=first)
        assert (event.event, event.member_id, event.details) == (
            "job opened",
            crew.mechanic.member_id,
            {"number": "J-1001"},
        )
        assert event.device_id == crew.mechanic.device_id


def test_every_pair_of_stages_follows_the_transition_table(crew: Crew) -> None:
    job_id = work.a_job(crew.mechanic)
    for before, after in product(Stage, Stage):
        with in_shop(crew.shop_id):
            Job.objects.filter(id=job_id).update(stage=before)
            recorded = AuditEvent.objects.filter(event="job moved").count()
        may = after in JOB_TRANSITIONS[before]
        if may or before == after:
            assert do(crew.mechanic, move_job, id=job_id, stage=after).stage == after
        else:
            with pytest.raises(Conflict) as refused:
                do(crew.mechanic, move_job, id=job_id, stage=after)
            assert (refused.value.code, refused.value.fields[0].field) == ("stage_not_next", "stage")
        with in_shop(crew.shop_id):
            assert Job.objects.get(id=job_id).stage == (after if may else before)
            assert AuditEvent.objects.filter(event="job moved").count() == recorded + may


def test_a_job_needs_a_machine_and_a_site_of_its_customer(crew: Crew) -> None:
    one, other = work.a_customer(crew.owner), work.a_customer(crew.owner, name="Tobias Quill")
    machine, site = work.a_machine(crew.owner, one), work.a_site(crew.owner, other)
    with pytest.raises(Invalid) as wrong_machine:
        work.a_job(crew.owner, customer_id=other, machine_id=machine)
    assert [(f.field, f.code) for f in wrong_machine.value.fields] == [("machine_id", "another_customer")]
    with pytest.raises(Invalid) as wrong_site:
        work.a_job(crew.owner, customer_id=one, machine_id=machine, site_id=site)
    assert [(f.field, f.code) for f in wrong_site.value.fields] == [("site_id", "another_customer")]
    job = work.a_job(crew.owner, customer_id=one, machine_id=machine)
    with pytest.raises(Invalid):
        do(crew.owner, edit_job, id=job, base={"site_id": None}, set={"site_id": site})


@pytest.mark.parametrize("field", ["customer_id", "machine_id", "site_id"])
def test_job_of_unknown_rows_is_refused(crew: Crew, field: str) -> None:
    customer = work.a_customer(crew.owner)
    args = {"customer_id": customer, "machine_id": work.a_machine(crew.owner, customer)}
    with pytest.raises(NotFound) as refused:
        work.a_job(crew.owner, **{**args, field: uuid7()})
    assert refused.value.fields[0].field == field


def test_an_edit_with_a_site_that_is_no_id_names_the_field(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    with pytest.raises(Invalid) as refused:
        do(crew.owner, edit_job, id=job, base={"site_id": None}, set={"site_id": "nonsense"})
    assert refused.value.fields[0].field == "site_id"


def test_complaints_and_findings_are_stored_with_their_member(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    complaint, finding = work.a_complaint(crew.office, job), work.a_finding(crew.mechanic, job)
    with in_shop(crew.shop_id):
        assert Complaint.objects.get(id=complaint).taken_by_id == crew.office.member_id
        assert Finding.objects.get(id=finding).found_by_id == crew.mechanic.member_id
    assert events(crew)[-2:] == ["complaint taken", "finding recorded"]
    do(crew.mechanic, edit_finding, id=finding, base={"rank": "needed"}, set={"rank": "safety"})
    do(crew.mechanic, remove_finding, id=finding)
    assert events(crew)[-2:] == ["finding edited", "finding removed"]


def test_finding_on_a_quote_cannot_be_removed(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    finding = work.a_finding(crew.owner, job)
    quote = work.a_draft(crew.owner, job)
    do(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **work.labor())
    with refuses(Conflict, "refers to this finding"):
        do(crew.owner, remove_finding, id=finding)


def test_repeated_id_is_refused(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    with refuses(Conflict, "already a row with this id"):
        work.a_job(crew.owner, id=job)
    finding = work.a_finding(crew.owner, job)
    with pytest.raises(Conflict):
        work.a_finding(crew.owner, job, id=finding)


def test_missing_permission_is_refused_and_writes_nothing(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    before = events(crew)
    nobody = replace(crew.mechanic, permissions=frozenset())
    with pytest.raises(Forbidden):
        do(nobody, record_finding, id=uuid7(), job_id=job, words="Worn", rank="needed")
    assert events(crew) == before


class Thrown(Exception):
    """Raised to roll back."""


def test_concurrent_numbers_have_no_gap_despite_rollbacks(committed_db: None) -> None:
    crew = open_crew()
    customer = work.a_customer(crew.owner)
    machine = work.a_machine(crew.owner, customer)

    def open_some(worker: int) -> None:
        try:
            for count in range(6):
                args = to_json({"id": uuid7(), "customer_id": customer, "machine_id": machine})
                try:
                    with in_shop(crew.shop_id):
                        lock_shop(crew.shop_id)
                        open_job.within(actor=crew.owner, data=parse(NewJob, args))
                        if (worker + count) % 3 == 0:
                            raise Thrown
                except Thrown:
                    continue
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(open_some, range(8)))
    with in_shop(crew.shop_id):
        numbers = sorted(
            int(number.removeprefix("J-")) for number in Job.objects.values_list("number", flat=True) if number
        )
    assert numbers == list(range(1001, 1001 + 32))


def test_refusal_writes_nothing(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    with pytest.raises(DomainError), transaction.atomic():
        do(crew.owner, move_job, id=job, stage="closed")
    work.a_job(crew.owner)
    with in_shop(crew.shop_id):
        assert sorted(filter(None, Job.objects.values_list("number", flat=True))) == ["J-1001", "J-1002"]


def test_declined_finding_is_repeated_on_a_later_visit(crew: Crew) -> None:
    first = work.a_job(crew.mechanic)
    declined = work.a_finding(crew.mechanic, first)
    later = work.a_job(crew.mechanic)
    again = work.a_finding(crew.mechanic, later, again_of_id=declined)
    with in_shop(crew.shop_id):
        assert Finding.objects.get(id=again).again_of_id == declined
    with pytest.raises(NotFound) as unknown:
        work.a_finding(crew.mechanic, later, again_of_id=uuid7())
    assert unknown.value.fields[0].field == "again_of_id"
    with refuses(Conflict, "a later visit"):
        work.do(crew.mechanic, remove_finding, id=declined)
