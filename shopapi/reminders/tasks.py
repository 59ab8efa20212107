"""Background tasks of reminders; rules are in `rules`."""

import logging
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core.background import in_each_shop
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from shopapi.reminders.services import sweep_follow_ups as sweep

log = logging.getLogger("shopapi.reminders")


@shared_task(name="reminders.sweep_follow_ups", soft_time_limit=240, time_limit=300, ignore_result=True)
def sweep_follow_ups() -> None:
    """In each shop, close and create follow-ups."""
    in_each_shop(every_shop(), _sweep_follow_ups)


def _sweep_follow_ups(shop_id: UUID) -> None:
    with in_shop(shop_id):
        lock_shop(shop_id)
        swept = sweep(actor=system_actor(shop_id))
    if swept.created or swept.closed:
        log.info("%s follow-ups made, %s settled", swept.created, swept.closed)
