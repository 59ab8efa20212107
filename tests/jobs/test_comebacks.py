"""Of which job another may be a comeback: set, unset, and what is refused."""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction

from shopapi.core.errors import Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.rendering import render
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.jobs.queries import jobs_behind
from shopapi.jobs.rules import OpenedJob, comeback_fault
from shopapi.jobs.services import edit_job
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do

NOON = datetime(2026, 11, 3, 12, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def jobs_of_one_machine(crew: Crew, count: int) -> list[UUID]:
    """So many jobs of one machine, the oldest first."""
    customer = work.a_customer(crew.mechanic)
    machine = work.a_machine(crew.mechanic, customer)
    return [work.a_job(crew.mechanic, customer_id=customer, machine_id=machine) for _ in range(count)]


def link(crew: Crew, job: UUID, first: UUID | None, *, seen: UUID | None = None) -> None:
    do(crew.mechanic, edit_job, id=job, base={"comeback_of_id": seen}, set={"comeback_of_id": first})


def behind(crew: Crew, job: UUID) -> list[UUID]:
    with in_shop(crew.shop_id):
        return jobs_behind(Job.objects.get(id=job))


def test_a_job_becomes_a_comeback_and_stops_being_one(crew: Crew) -> None:
    first, second = jobs_of_one_machine(crew, 2)
    link(crew, second, first)
    assert behind(crew, second) == [first]
    listed = Browser(crew.mechanic).get("jobs", comeback_of_id=str(first)).json()["rows"]
    assert [row["id"] for row in listed] == [str(second)]
    link(crew, second, None, seen=first)
    assert behind(crew, second) == []


def test_a_comeback_is_opened_as_one_and_may_come_back_itself(crew: Crew) -> None:
    (first,) = jobs_of_one_machine(crew, 1)
    with in_shop(crew.shop_id):
        row = Job.objects.get(id=first)
    same = {"customer_id": row.customer_id, "machine_id": row.machine_id}
    second = work.a_job(crew.mechanic, **same, comeback_of_id=first)
    third = work.a_job(crew.mechanic, **same, comeback_of_id=second)
    assert behind(crew, third) == [second, first]


def sentence_of(refused: pytest.ExceptionInfo[Invalid]) -> tuple[str, str, str]:
    (fault,) = refused.value.fields
    return fault.field, fault.code, render(fault.reason)


def test_what_is_refused_names_the_field_and_the_way_out(crew: Crew) -> None:
    first, second = jobs_of_one_machine(crew, 2)
    (other,) = jobs_of_one_machine(crew, 1)
    refusals = {}
    for job, wanted in ((second, second), (other, first), (first, second)):
        with pytest.raises(Invalid) as refused:
            link(crew, job, wanted)
        field, code, sentence = sentence_of(refused)
        assert field == "comeback_of_id"
        refusals[code] = sentence
    assert list(refusals) == ["comeback_of_itself", "comeback_of_another_machine", "comeback_of_later_job"]
    assert "J-1001" in refusals["comeback_of_another_machine"]
    assert "J-1002" in refusals["comeback_of_later_job"]
    assert all("Choose an earlier job of this machine, or none." in sentence for sentence in refusals.values())
    with pytest.raises(NotFound):
        link(crew, second, uuid7())


def test_a_chain_does_not_close_a_circle(crew: Crew) -> None:
    """Jobs that an import opened at one instant are neither earlier nor later than each other."""
    ids = jobs_of_one_machine(crew, 3)
    with in_shop(crew.shop_id):
        Job.objects.update(opened_at=NOON)
    link(crew, ids[1], ids[0])
    link(crew, ids[2], ids[1])
    with pytest.raises(Invalid) as refused:
        link(crew, ids[0], ids[2])
    assert sentence_of(refused)[1] == "comeback_in_circle"
    assert behind(crew, ids[2]) == [ids[1], ids[0]]


def test_a_job_of_another_shop_is_unknown(crew: Crew) -> None:
    others = open_crew("Ridge & Reel")
    theirs = work.a_job(others.owner)
    (mine,) = jobs_of_one_machine(crew, 1)
    with pytest.raises(NotFound):
        link(crew, mine, theirs)


def test_the_database_refuses_a_job_as_its_own_comeback(crew: Crew) -> None:
    (job,) = jobs_of_one_machine(crew, 1)
    refused = pytest.raises(IntegrityError, match="job_is_no_comeback_of_itself")
    with in_shop(crew.shop_id), refused, transaction.atomic():
        Job.objects.filter(id=job).update(comeback_of=job)


def test_every_pair_of_jobs_follows_the_table() -> None:
    machine = uuid4()
    job = OpenedJob(uuid4(), machine, NOON)
    earlier = OpenedJob(uuid4(), machine, NOON - timedelta(days=30))
    later = OpenedJob(uuid4(), machine, NOON + timedelta(seconds=1))
    elsewhere = OpenedJob(uuid4(), uuid4(), NOON - timedelta(days=30))
    assert comeback_fault(job, earlier, ()) is None
    assert comeback_fault(job, earlier, {job.id}) == "comeback_in_circle"
    assert comeback_fault(job, later, ()) == "comeback_of_later_job"
    assert comeback_fault(job, elsewhere, ()) == "comeback_of_another_machine"
    assert comeback_fault(job, job, ()) == "comeback_of_itself"
