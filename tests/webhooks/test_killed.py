"""A worker killed while it waits for an answer: the delivery is sent again, with the same id and body."""

import time
from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

from shopapi.core.background import sweep
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.webhooks import tasks
from shopapi.webhooks.models import Webhook, WebhookDelivery, WebhookProgress
from shopapi.webhooks.services import webhooks as services
from tests.factories.crews import open_crew
from tests.factories.work import a_customer, do
from tests.site import LiveSite
from tests.site_process import WEBHOOK_LOOPBACK
from tests.webhooks.receiver import SILENT, receiver


def test_a_delivery_in_hand_of_a_worker_that_is_killed_arrives(live_site: LiveSite) -> None:
    crew = open_crew()
    with receiver() as program:
        program.answers = [SILENT]
        live_site.environment[WEBHOOK_LOOPBACK] = "1"
        fields = {"url": "https://hook.example/", "kinds": ["customer"]}
        webhook_id = do(crew.owner, services.add_webhook, id=uuid7(), **fields).id
        services.make_secret(actor=crew.owner, webhook_id=webhook_id)
        with in_shop(crew.shop_id):
            # This process sends to no machine of its own.
            Webhook.objects.filter(id=webhook_id).update(url=program.url)
        a_customer(crew.owner)
        tasks.collect_changes()
        live_site.start_worker()
        try:
            sweep()
            _until(lambda: len(program.taken) == 1)
            live_site.kill_worker()
            with in_shop(crew.shop_id):
                assert WebhookDelivery.objects.get().state == "waiting"
                # The lease of the dead worker ends, and the sweep wakes another.
                WebhookProgress.objects.update(leased_until=now() - timedelta(seconds=1))
                Outbox.objects.filter(done_at=None).update(run_after=now() - timedelta(seconds=1), attempts=1)
            live_site.start_worker()
            sweep()
            _until(lambda: _is_delivered(crew.shop_id))
        finally:
            live_site.stop_worker()
            del live_site.environment[WEBHOOK_LOOPBACK]
    first, *again = program.taken
    assert again
    assert {(one.headers["webhook-id"], one.body) for one in again} == {(first.headers["webhook-id"], first.body)}


def _is_delivered(shop_id: UUID) -> bool:
    with in_shop(shop_id):
        return WebhookDelivery.objects.get().state == "delivered"


def _until(done: Callable[[], bool], *, seconds: float = 60) -> None:
    ends = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < ends
        time.sleep(0.1)
