"""Periodic work visits the shops where something was committed or a time has come, and no other."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from shopapi.core.background import SomeShopsFailed, after_commit
from shopapi.core.clock import held_at, now, tomorrow_at
from shopapi.core.feed import lock_shop
from shopapi.core.models import Outbox, SweepVisit
from shopapi.core.resources import all_resources
from shopapi.core.sweeps import in_shops_due, shops_due
from shopapi.core.tenancy import in_shop
from shopapi.labor.services.clock import stop_clock
from shopapi.notices.tasks import tidy_notices
from shopapi.quotes.models import Quote
from shopapi.quotes.tasks import lapse_quotes, mark_overdue_pdfs_failed
from shopapi.reminders import queries as reminders
from shopapi.reminders.services import next_sweep_at
from shopapi.reminders.tasks import sweep_follow_ups
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_clock, a_customer, a_job, an_offer, do
from tests.structure.source_tree import calls, trees

TASK = "core.test"


@pytest.fixture
def crews(db: None) -> list[Crew]:
    return [open_crew(name) for name in ("Alder Yard", "Birch Yard", "Cedar Yard")]


@pytest.fixture
def committed_crews(committed_db: None) -> list[Crew]:
    # One transaction has one number in the feed, so that what follows needs several.
    return [open_crew(name) for name in ("Alder Yard", "Birch Yard", "Cedar Yard")]


def visit(due_at: datetime | None = None) -> list[UUID]:
    seen: list[UUID] = []

    def work(shop_id: UUID) -> datetime | None:
        seen.append(shop_id)
        return due_at

    in_shops_due(TASK, work)
    return seen


def test_a_shop_is_visited_once_and_again_after_a_commit(committed_crews: list[Crew]) -> None:
    assert set(visit()) == {crew.shop_id for crew in committed_crews}
    assert visit() == []
    a_customer(committed_crews[1].owner)
    assert visit() == [committed_crews[1].shop_id]
    assert visit() == []


def test_a_shop_is_visited_when_its_time_has_come(crews: list[Crew]) -> None:
    later = now() + timedelta(hours=3)
    assert len(visit(later)) == 3
    assert visit(later) == []
    with held_at(later - timedelta(seconds=1)):
        assert visit(later) == []
    with held_at(later):
        assert len(visit()) == 3
    with held_at(later + timedelta(days=400)):
        assert visit() == []


def test_only_a_change_of_a_named_kind_makes_a_shop_due(committed_crews: list[Crew]) -> None:
    crew = committed_crews[0]

    def work(shop_id: UUID) -> datetime:
        return now() + timedelta(days=1)

    in_shops_due(TASK, work, kinds=("job",))
    a_customer(crew.owner)
    assert shops_due(TASK, ["job"]) == {}
    # What was skipped is not looked at again.
    assert shops_due(TASK) == {}
    a_job(crew.owner)
    assert set(shops_due(TASK, ["job"])) == {crew.shop_id}
    with held_at(now() + timedelta(days=2)):
        assert set(shops_due(TASK, ["job"])) == {crew.shop_id for crew in committed_crews}


def test_each_task_has_visits_of_its_own(crews: list[Crew]) -> None:
    assert len(visit()) == 3
    assert len(shops_due("core.another")) == 3


def test_a_shop_stays_due_where_the_work_failed(crews: list[Crew]) -> None:
    broken = crews[2].shop_id

    def work(shop_id: UUID) -> None:
        if shop_id == broken:
            raise ZeroDivisionError

    with pytest.raises(SomeShopsFailed, match="work failed in 1 of 3 shops"):
        in_shops_due(TASK, work)
    assert visit() == [broken]


def test_a_commit_while_the_work_runs_makes_the_shop_due_again(committed_crews: list[Crew]) -> None:
    assert len(visit()) == 3
    a_customer(committed_crews[0].owner)

    def work(shop_id: UUID) -> None:
        a_customer(committed_crews[0].owner)

    in_shops_due(TASK, work)
    assert visit() == [committed_crews[0].shop_id]


def test_a_visit_is_seen_by_its_own_shop_alone(crews: list[Crew]) -> None:
    visit()
    with in_shop(crews[0].shop_id):
        assert [row.shop_id for row in SweepVisit.objects.all()] == [crews[0].shop_id]


def test_an_idle_shop_costs_a_minutes_tick_nothing(crews: list[Crew], monkeypatch: pytest.MonkeyPatch) -> None:
    tasks = (tidy_notices, mark_overdue_pdfs_failed, lapse_quotes, sweep_follow_ups)
    for _ in range(2):
        # The first visit may itself change something.
        for task in tasks:
            task()
    visited: list[UUID] = []
    monkeypatch.setattr("shopapi.core.sweeps.in_shop", visited.append)
    for task in tasks:
        task()
    assert visited == []


def test_a_quote_lapses_at_midnight_of_its_shop_though_nothing_changes(crews: list[Crew]) -> None:
    crew = crews[0]
    quote = an_offer(crew.owner, a_job(crew.owner))
    with in_shop(crew.shop_id):
        last_day = Quote.objects.get(id=quote).valid_until
    assert last_day is not None
    lapse_quotes()
    lapse_quotes()
    # Chicago, in winter: midnight is at 6:00 UTC.
    midnight = datetime(last_day.year, last_day.month, last_day.day, 6, tzinfo=UTC) + timedelta(days=1)
    for at, state in ((midnight - timedelta(seconds=1), "offered"), (midnight, "lapsed")):
        with held_at(at):
            lapse_quotes()
        with in_shop(crew.shop_id):
            assert Quote.objects.get(id=quote).state == state


def test_a_clock_left_running_is_found_on_time_though_nothing_changes(crews: list[Crew]) -> None:
    crew = crews[0]
    entry = a_clock(crew.mechanic, a_job(crew.owner))
    sweep_follow_ups()
    sweep_follow_ups()
    with in_shop(crew.shop_id):
        due_at = next_sweep_at(crew.owner)
    for at, found in ((due_at, []), (due_at + timedelta(minutes=10), ["clock_running"])):
        with held_at(at):
            sweep_follow_ups()
        with in_shop(crew.shop_id):
            assert [row.kind for row in reminders.follow_ups(crew.owner).filter(state="open")] == found
    do(crew.mechanic, stop_clock, id=entry, ended_at=due_at)
    with held_at(due_at + timedelta(minutes=10)), in_shop(crew.shop_id):
        assert next_sweep_at(crew.owner) == tomorrow_at("America/Chicago")


def test_a_pdf_whose_outbox_entry_fails_later_is_marked_failed(crews: list[Crew]) -> None:
    crew = crews[0]
    quote = an_offer(crew.owner, a_job(crew.owner))
    for _ in range(3):
        mark_overdue_pdfs_failed()
    with in_shop(crew.shop_id):
        lock_shop(crew.shop_id)
        after_commit("quotes.make_pdf", shop_id=crew.shop_id, quote_id=quote)
        assert Quote.objects.get(id=quote).pdf_state == "waiting"
        Outbox.objects.filter(task="quotes.make_pdf").update(failed_at=now())
    mark_overdue_pdfs_failed()
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote).pdf_state == "failed"


def test_every_kind_named_by_a_task_is_one_that_the_feed_records() -> None:
    synced = {resource.kind for resource in all_resources() if resource.in_feed}
    named = {
        str(element.value)
        for path, tree in trees()
        if path.name == "tasks.py"
        for name, call in calls(tree)
        if name == "in_shops_due"
        for argument in call.keywords
        for element in getattr(argument.value, "elts", ())
    }
    assert {"quote", "notice", "plan_request"} <= named <= synced


def test_the_next_day_begins_at_midnight_of_the_shop() -> None:
    with held_at(datetime(2026, 3, 7, 12, tzinfo=UTC)):
        # The night in which the clocks of Chicago go forward begins in standard time (IANA time zone database).
        assert tomorrow_at("America/Chicago") == datetime(2026, 3, 8, 6, tzinfo=UTC)
    with held_at(datetime(2026, 3, 8, 12, tzinfo=UTC)):
        assert tomorrow_at("America/Chicago") == datetime(2026, 3, 9, 5, tzinfo=UTC)
