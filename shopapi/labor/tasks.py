"""Background tasks of labor; rules are in `rules`."""

import logging
from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.core.clock import tomorrow_at
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.labor.services.history import rebuild_history

log = logging.getLogger("shopapi.labor")


@shared_task(name="labor.rebuild_histories", soft_time_limit=240, time_limit=300, ignore_result=True)
def rebuild_histories() -> None:
    """Rebuild the work history of each shop where something changed or a day began."""
    in_shops_due("labor.rebuild_histories", _rebuild_history, kinds=("time_entry", "job", "machine"))


def _rebuild_history(shop_id: UUID) -> datetime:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        changed = rebuild_history(actor=actor)
        zone = shop_of(actor).zone
    if changed:
        log.info("%s summaries of hours changed", changed)
    return tomorrow_at(zone)
