"""An outbox row is executed once, however many wake-ups are sent for it, and without a broker too."""

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
    """A fake broker: records what is sent, or is down."""

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
        return Outbox.objects.get(task="quotes.make_pdf", args__quote_id=str(quote_id))


def make_due(crew: Crew, **more: object) -> None:
    with in_shop(crew.shop_id):
        Outbox.objects.update(run_after=now() - timedelta(seconds=1), **more)


def test_offer_enqueues_its_pdf_and_the_task_makes_it(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    row = pending_row(crew, quote_id)
    assert broker.sent == [("quotes.make_pdf", (str(crew.shop_id), str(row.id)))]
    make_pdf(*broker.sent[0][1])
    with in_shop(crew.shop_id):
        quote = Quote.objects.select_related("pdf").get(id=quote_id)
        assert quote.pdf is not None
        assert (quote.pdf_state, quote.pdf.media_type) == ("ready", "application/pdf")
        assert Outbox.objects.get(id=row.id).done_at is not None
    # Sent again, it does nothing more.
    make_pdf(*broker.sent[0][1])
    with in_shop(crew.shop_id):
        assert Document.objects.count() == 1
        assert AuditEvent.objects.filter(event="PDF made").count() == 1


def test_broker_outage_is_no_error(broker: DeafBroker, crew: Crew) -> None:
    broker.down = True
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    assert sweep() == 0, "the first wake-up is still fresh"
    make_due(crew)
    assert sweep() == 1
    broker.down = False
    make_due(crew)
    sweep_outbox()
    assert broker.sent == [("quotes.make_pdf", (str(crew.shop_id), str(pending_row(crew, quote_id).id)))]


def test_wake_ups_back_off_up_to_a_minute(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    waits = []
    for _ in range(MAX_ATTEMPTS - 1):
        make_due(crew)
        before = now()
        assert sweep() == 1
        waits.append(round((pending_row(crew, quote_id).run_after - before).total_seconds()))
    assert waits == [6, 12, 24, 48, 60, 60, 60]


def test_wake_ups_without_a_worker_never_make_a_row_fail(broker: DeafBroker, crew: Crew) -> None:
    """An hour without a worker: the row is executed once one is there."""
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    for _ in range(60):
        make_due(crew)
        assert sweep() == 1
    row = pending_row(crew, quote_id)
    assert (row.failed_at, row.attempts, row.wake_ups) == (None, 0, 61)
    make_pdf(*broker.sent[-1][1])
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote_id).pdf_state == "ready"


def test_executions_that_fail_are_counted_until_the_row_fails(
    broker: DeafBroker, crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    def break_down(**_: object) -> None:
        raise ZeroDivisionError

    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    monkeypatch.setattr("shopapi.quotes.services.quote_pdf.make_pdf", break_down)
    for nth in range(MAX_ATTEMPTS):
        with pytest.raises(ZeroDivisionError):
            make_pdf(*broker.sent[-1][1])
        assert pending_row(crew, quote_id).attempts == nth + 1
        make_due(crew)
        assert sweep() == (1 if nth + 1 < MAX_ATTEMPTS else 0)
    assert pending_row(crew, quote_id).failed_at is not None


def test_row_fails_after_max_attempts(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    make_due(crew, attempts=MAX_ATTEMPTS)
    assert sweep() == 0
    row = pending_row(crew, quote_id)
    assert (row.failed_at is not None, row.done_at) == (True, None)
    make_pdf(str(crew.shop_id), str(row.id))
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote_id).pdf_state == "waiting"


def test_overdue_work_is_reported_by_workz(broker: DeafBroker, crew: Crew) -> None:
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    after = Client().get("/workz")
    assert (after.status_code, after.json()) == (200, {"working": True})
    with in_shop(crew.shop_id):
        # Due tomorrow: not late.
        after_commit("core.sweep_outbox", shop_id=crew.shop_id, at=now() + timedelta(days=1))
        row = pending_row(crew, quote_id)
        Outbox.objects.filter(id=row.id).update(run_after=now() - 2 * LATE)
    late = Client().get("/workz")
    body = late.json()
    assert (late.status_code, body["working"]) == (503, False)
    assert body["late_seconds"] >= 120
    assert body["reason"].startswith(f"PDFs, mail or pictures are {body['late_seconds']} s late")
    assert body.keys() == {"working", "late_seconds", "reason"}, "nothing of the shop"
    # Readiness is unchanged: the web server must stay in service without a worker.
    assert Client().get("/readyz").status_code == 200
    assert sweep() == 1, "a worker runs again"
    make_pdf(str(crew.shop_id), str(row.id))
    # Done and failed rows are not late, however old.
    with in_shop(crew.shop_id):
        Outbox.objects.create(shop_id=crew.shop_id, task="core.sweep_outbox", failed_at=now())
        Outbox.objects.exclude(done_at=None, failed_at=None).update(run_after=now() - 2 * LATE)
    assert Client().get("/workz").json() == {"working": True}


def test_concurrent_sweeps_send_one_wake_up(broker: DeafBroker, crew: Crew) -> None:
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


def test_concurrent_workers_have_one_effect(broker: DeafBroker, crew: Crew) -> None:
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


def test_failed_task_leaves_its_row_pending(broker: DeafBroker, crew: Crew) -> None:
    with in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
    ((_, ids),) = broker.sent
    with pytest.raises(ZeroDivisionError), claimed(*ids):
        raise ZeroDivisionError
    with in_shop(crew.shop_id):
        assert Outbox.objects.get().done_at is None
    with claimed(*ids) as args:
        assert args == {}


def test_no_wake_up_after_a_rollback(broker: DeafBroker, crew: Crew) -> None:
    with pytest.raises(ZeroDivisionError), in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
        raise ZeroDivisionError
    assert broker.sent == []
    with in_shop(crew.shop_id):
        assert not Outbox.objects.exists()


def test_task_cannot_claim_another_shops_row(broker: DeafBroker, crew: Crew) -> None:
    other = open_crew("Other Yard")
    with in_shop(crew.shop_id):
        after_commit("core.sweep_outbox", shop_id=crew.shop_id)
    ((_, (_, outbox_id)),) = broker.sent
    with claimed(str(other.shop_id), outbox_id) as args:
        assert args is None
