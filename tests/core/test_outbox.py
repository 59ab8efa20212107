"""An outbox row is worked once, however many wake-ups are sent for it, and without a broker too."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from uuid import UUID

import pytest
from celery import current_app
from django.db import connection, connections
from django.test import Client
from kombu.exceptions import OperationalError

from shopapi.core.background import LATE, MAX_ATTEMPTS, after_commit, claimed, sweep
from shopapi.core.clock import now
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.tasks import sweep_outbox
from shopapi.core.tenancy import in_shop
from shopapi.documents.models import Document
from shopapi.quotes.models import Quote
from shopapi.quotes.tasks import make_pdf
from tests.factories import work
from tests.factories.crews import Crew, open_crew


class DeafBroker:
    """Stands for a broker at the network's edge: keeps what is sent, or is down."""

    def __init__(self) -> None:
        self.sent: list[tuple[str, tuple[str, ...]]] = []
        self.down = False

    def send_task(self, name: str, *, args: list[str], retry: bool) -> None:
        assert retry is False
        if self.down:
            raise OperationalError("Connection refused")
        self.sent.append((name, tuple(args)))


@pytest.fixture
def broker(monkeypatch: pytest.MonkeyPatch) -> DeafBroker:
    broker = DeafBroker()
    monkeypatch.setattr(current_app, "send_task", broker.send_task)
    return broker


@pytest.fixture
def crew(committed_db: None) -> Iterator[Crew]:
    yield open_crew()


def pending_row(crew: Crew, quote_id: UUID) -> Outbox:
    with in_shop(crew.shop_id):
        return Outbox.objects.get(task="quotes.make_paper", args__quote_id=str(quote_id))


def make_due(crew: Crew, **more: object) -> None:
    with in_shop(crew.shop_id):
        Outbox.objects.update(run_after=now() - timedelta(seconds=1), **more)


def test_an_offer_promises_its_paper_and_the_task_keeps_it(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    row = pending_row(crew, quote_id)
    assert broker.sent == [("quotes.make_paper", (str(crew.shop_id), str(row.id)))]
    make_pdf(*broker.sent[0][1])
    with in_shop(crew.shop_id):
        quote = Quote.objects.select_related("paper").get(id=quote_id)
        assert quote.paper is not None
        assert (quote.paper_state, quote.paper.media_type) == ("ready", "application/pdf")
        assert Outbox.objects.get(id=row.id).done_at is not None
    # Sent again, it does nothing more.
    make_pdf(*broker.sent[0][1])
    with in_shop(crew.shop_id):
        assert Document.objects.count() == 1
        assert AuditEvent.objects.filter(event="paper made").count() == 1


def test_a_broker_that_is_down_is_no_error(broker: DeafBroker, crew: Crew) -> None:
    broker.down = True
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    assert sweep() == 0, "the first wake-up is still fresh"
    make_due(crew)
    assert sweep() == 1
    broker.down = False
    make_due(crew)
    sweep_outbox()
    assert broker.sent == [("quotes.make_paper", (str(crew.shop_id), str(pending_row(crew, quote_id).id)))]


def test_each_ring_waits_longer_up_to_a_minute(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    waits = []
    for _ in range(MAX_ATTEMPTS - 1):
        make_due(crew)
        before = now()
        assert sweep() == 1
        waits.append(round((pending_row(crew, quote_id).run_after - before).total_seconds()))
    assert waits == [6, 12, 24, 48, 60, 60, 60]


def test_what_fails_again_and_again_is_given_up(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    make_due(crew, attempts=MAX_ATTEMPTS)
    assert sweep() == 0
    row = pending_row(crew, quote_id)
    assert (row.failed_at is not None, row.done_at) == (True, None)
    make_pdf(str(crew.shop_id), str(row.id))
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote_id).paper_state == "waiting"


def test_work_that_nobody_does_is_told_to_whoever_watches(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    after = Client().get("/workz")
    assert (after.status_code, after.json()) == (200, {"working": True})
    with in_shop(crew.shop_id):
        # Due tomorrow, long ago: not late.
        after_commit("core.sweep_outbox", shop_id=crew.shop_id, at=now() + timedelta(days=1))
        row = pending_row(crew, quote_id)
        Outbox.objects.filter(id=row.id).update(run_after=now() - 2 * LATE)
    late = Client().get("/workz")
    told = late.json()
    assert (late.status_code, told["working"]) == (503, False)
    assert told["late_seconds"] >= 120
    assert told["reason"].startswith(f"Paper, mail or pictures are {told['late_seconds']} s late")
    assert told.keys() == {"working", "late_seconds", "reason"}, "nothing of the shop"
    # The web is as ready as before: it must not be taken out because a worker is dead.
    assert Client().get("/readyz").status_code == 200
    assert sweep() == 1, "a worker runs again"
    make_pdf(str(crew.shop_id), str(row.id))
    # What is done, or failed for good, is late no more, however old.
    with in_shop(crew.shop_id):
        Outbox.objects.create(shop_id=crew.shop_id, task="core.sweep_outbox", failed_at=now())
        Outbox.objects.exclude(done_at=None, failed_at=None).update(run_after=now() - 2 * LATE)
    assert Client().get("/workz").json() == {"working": True}


def test_two_sweeps_at_once_ring_once(broker: DeafBroker, crew: Crew) -> None:
    for count in range(6):
        with in_shop(crew.shop_id):
            after_commit("core.sweep_outbox", shop_id=crew.shop_id, count=count)
    make_due(crew)
    broker.sent.clear()
    barrier = Barrier(2)

    def go(_: int) -> int:
        try:
            barrier.wait()
            return sweep()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(2) as pool:
        assert sum(pool.map(go, range(2))) == 6
    assert len(set(broker.sent)) == len(broker.sent) == 6


def test_two_workers_have_one_effect(broker: DeafBroker, crew: Crew) -> None:
    with in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id, word="once")
    ((_, ids),) = broker.sent
    barrier = Barrier(2)

    def go(_: int) -> object:
        try:
            barrier.wait()
            with claimed(*ids) as args:
                if args is not None:
                    with connection.cursor() as cursor:
                        cursor.execute("SELECT pg_sleep(0.3)")
                return args
        finally:
            connections.close_all()

    with ThreadPoolExecutor(2) as pool:
        assert sorted(map(str, pool.map(go, range(2)))) == ["None", "{'word': 'once'}"]


def test_a_task_that_fails_leaves_its_promise_owed(broker: DeafBroker, crew: Crew) -> None:
    with in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
    ((_, ids),) = broker.sent
    with pytest.raises(ZeroDivisionError), claimed(*ids):
        raise ZeroDivisionError
    with in_shop(crew.shop_id):
        assert Outbox.objects.get().done_at is None
    with claimed(*ids) as args:
        assert args == {}


def test_nothing_is_rung_for_what_was_undone(broker: DeafBroker, crew: Crew) -> None:
    with pytest.raises(ZeroDivisionError), in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
        raise ZeroDivisionError
    assert broker.sent == []
    with in_shop(crew.shop_id):
        assert not Outbox.objects.exists()


def test_a_task_cannot_claim_a_promise_of_another_shop(broker: DeafBroker, crew: Crew) -> None:
    other = open_crew("Other Yard")
    with in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
    ((_, (_, outbox_id)),) = broker.sent
    with claimed(str(other.shop_id), outbox_id) as args:
        assert args is None
