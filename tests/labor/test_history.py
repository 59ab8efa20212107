"""The work history: what counts, what does not, and that it follows the entries."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from shopapi.accounts.queries import system_actor
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.labor.queries.history import FinishedWork, summaries, work_histories
from shopapi.labor.services.history import rebuild_history
from shopapi.labor.tasks import rebuild_histories
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.hours import an_entry, finish

FIRST = datetime(2026, 3, 2, 14, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def clocked(
    crew: Crew, day: int, minutes: int, *, kind: str = "repair", job: UUID | None = None, **more: object
) -> UUID:
    """Minutes on a day, on a new job that is finished unless a job is given."""
    job_id = job or work.a_job(crew.owner)
    began = FIRST + timedelta(days=day)
    fields = {"operation": "Carburetor clean", **more}
    an_entry(crew.mechanic, began, began + timedelta(minutes=minutes), job=job_id, kind=kind, **fields)
    if job is None:
        finish(crew.owner, job_id)
    return job_id


def gathered(crew: Crew) -> dict[tuple[str, str], tuple[list[int], int]]:
    with in_shop(crew.shop_id):
        rebuild_history(actor=system_actor(crew.shop_id))
        return {(row.operation, row.machine_kind): (row.minutes, row.reworked) for row in work_histories(crew.owner)}


def test_hours_gather_by_work_and_kind_of_machine_with_rework_in_them(crew: Crew) -> None:
    first = clocked(crew, 0, 60)
    clocked(crew, 1, 15, kind="rework", job=first)
    clocked(crew, 2, 5, kind="travel", job=first)
    clocked(crew, 3, 40, operation=" carburetor CLEAN")
    customer = work.a_customer(crew.owner)
    chipper = work.a_machine(crew.owner, customer, kind="Chipper")
    other = work.a_job(crew.owner, customer_id=customer, machine_id=chipper)
    clocked(crew, 4, 30, job=other)
    finish(crew.owner, other)
    assert gathered(crew) == {
        ("carburetor clean", "garden tractor"): ([40, 75], 1),
        ("carburetor clean", "chipper"): ([30], 0),
    }


def test_what_is_not_finished_not_named_or_not_settled_does_not_count(crew: Crew) -> None:
    clocked(crew, 0, 60, job=work.a_job(crew.owner))
    clocked(crew, 1, 60, operation="")
    disputed = clocked(crew, 2, 60)
    clocked(crew, 3, 60, job=disputed, state="disputed")
    running = clocked(crew, 4, 60)
    an_entry(crew.mechanic, FIRST + timedelta(days=90), None, job=running, kind="repair", operation="Carburetor clean")
    clocked(crew, 6, 60, job=clocked(crew, 5, 20), state="replaced")
    assert gathered(crew) == {("carburetor clean", "garden tractor"): ([20], 0)}


def test_the_summary_follows_the_entries_and_nothing_is_written_twice(crew: Crew) -> None:
    clocked(crew, 0, 60)
    assert len(gathered(crew)) == 1
    with in_shop(crew.shop_id):
        assert rebuild_history(actor=system_actor(crew.shop_id)) == 0
        TimeEntry.objects.update(state="replaced")
    assert gathered(crew) == {}


def test_only_the_latest_jobs_are_kept() -> None:
    jobs = [
        FinishedWork("oil", "tiller", UUID(int=day), day + 1, day == 0, FIRST + timedelta(days=day))
        for day in range(120)
    ]
    assert summaries(jobs) == {("oil", "tiller"): (list(range(22, 121)), 0)}


def test_the_task_goes_through_every_shop(crew: Crew) -> None:
    clocked(crew, 0, 60)
    other = open_crew("Other Yard")
    clocked(other, 0, 30)
    rebuild_histories()
    for shop, minutes in ((crew, [60]), (other, [30])):
        with in_shop(shop.shop_id):
            assert [row.minutes for row in work_histories(shop.owner)] == [minutes]


def test_looking_back_says_how_well_past_intervals_held(crew: Crew) -> None:
    for day in range(11):
        clocked(crew, day, 60 if day < 10 else 600)
    report = Browser(crew.mechanic).get("reports/held").json()
    assert report == {"works": 1, "rows": [{"level": "kind", "asked": 2, "held": 1, "promised": "1.6"}]}
