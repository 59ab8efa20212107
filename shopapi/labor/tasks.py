"""Background tasks of labor; rules are in `rules`."""

import logging
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core.background import in_each_shop
from shopapi.core.tenancy import in_shop
from shopapi.labor.services.history import rebuild_history

log = logging.getLogger("shopapi.labor")


@shared_task(name="labor.rebuild_histories", soft_time_limit=240, time_limit=300, ignore_result=True)
def rebuild_histories() -> None:
    """Rebuild the work history of each shop."""
    in_each_shop(every_shop(), _rebuild_history)


def _rebuild_history(shop_id: UUID) -> None:
    with in_shop(shop_id):
        changed = rebuild_history(actor=system_actor(shop_id))
    if changed:
        log.info("%s summaries of hours changed", changed)
