"""Background tasks of notices; rules are in `rules`."""

import logging
from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.notices.services import delivery

log = logging.getLogger("shopapi.notices")


# Well below `rules.notice.LOST_AFTER`, so that no worker is still sending by then.
@shared_task(name="notices.send_notice", soft_time_limit=90, time_limit=120, ignore_result=True)
def send_notice(shop_id: str, outbox_id: str) -> None:
    """Send one notice, if it is due."""
    actor = system_actor(UUID(shop_id))
    begun = None
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            lock_shop(actor.shop_id)
            begun = delivery.begin_attempt(actor=actor, notice_id=UUID(args["notice_id"]))
    if begun is None:
        return
    outcome = delivery.deliver(begun)
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        delivery.finish_attempt(actor=actor, begun=begun, outcome=outcome)


@shared_task(name="notices.tidy_notices", soft_time_limit=50, time_limit=60, ignore_result=True)
def tidy_notices() -> None:
    """In each shop with unsent notices, mark lost attempts `unknown` and requeue failed outbox entries."""
    in_shops_due("notices.tidy_notices", _tidy_notices, kinds=("notice",))


def _tidy_notices(shop_id: UUID) -> datetime | None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        lost = delivery.mark_lost_unknown(actor=actor)
        again = delivery.requeue_failed(actor=actor)
        due_at = delivery.next_tidy_at(actor)
    if lost or again:
        log.info("%s notices lost in delivery, %s requeued", lost, again)
    return due_at
