"""Background work of webhooks; rules are in `rules`."""

from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed, in_each_shop, pending_args
from shopapi.core.clock import now
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.webhooks.queries import shops_behind, webhooks
from shopapi.webhooks.services import collecting, sending


@shared_task(name="webhooks.collect_changes", soft_time_limit=50, time_limit=60, ignore_result=True)
def collect_changes() -> None:
    """In each shop with changes of which a webhook has not been told, make the deliveries."""
    in_each_shop(shops_behind(), _collect_changes)


def _collect_changes(shop_id: UUID) -> None:
    with in_shop(shop_id):
        lock_shop(shop_id)
        collecting.collect_changes(actor=system_actor(shop_id))


# Well below `sending.LEASE`, so that no worker is still sending by then.
@shared_task(name="webhooks.send_deliveries", soft_time_limit=75, time_limit=90, ignore_result=True)
def send_deliveries(shop_id: str, outbox_id: str) -> None:
    """Send what is due for one webhook."""
    actor = system_actor(UUID(shop_id))
    args = pending_args(shop_id, outbox_id)
    if args is None or not sending.send_due(actor=actor, webhook_id=UUID(args["webhook_id"])):
        return
    with claimed(shop_id, outbox_id, counted=True) as args:
        pass
    if args is not None:
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            sending.schedule_rest(actor=actor, webhook_id=UUID(args["webhook_id"]))


@shared_task(name="webhooks.tidy", soft_time_limit=50, time_limit=60, ignore_result=True)
def tidy() -> None:
    """In each shop with a webhook, schedule what lost its outbox entry and forget old deliveries."""
    in_shops_due("webhooks.tidy", _tidy, kinds=("webhook",))


def _tidy(shop_id: UUID) -> datetime | None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        collecting.tidy(actor=actor)
        found = webhooks(actor).exists()
    return now() if found else None
