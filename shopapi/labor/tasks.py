"""Background work of clocked time. No rule lives here."""

import logging
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core.background import in_each_shop
from shopapi.core.tenancy import in_shop
from shopapi.labor.services.history import gather_history

log = logging.getLogger("shopapi.labor")


@shared_task(name="labor.gather_histories", soft_time_limit=240, time_limit=300, ignore_result=True)
def gather_histories() -> None:
    """In each shop, bring what works took up to what its finished jobs say."""
    in_each_shop(every_shop(), _gather_history)


def _gather_history(shop_id: UUID) -> None:
    with in_shop(shop_id):
        changed = gather_history(actor=system_actor(shop_id))
    if changed:
        log.info("what %s works took is known better", changed)
