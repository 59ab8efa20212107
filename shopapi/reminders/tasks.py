"""Background tasks of reminders; rules are in `rules`."""

import logging
from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.reminders.services import next_sweep_at
from shopapi.reminders.services import sweep_follow_ups as sweep

log = logging.getLogger("shopapi.reminders")


@shared_task(name="reminders.sweep_follow_ups", soft_time_limit=240, time_limit=300, ignore_result=True)
def sweep_follow_ups() -> None:
    """In each shop where something changed or a follow-up may be due, close and create follow-ups."""
    in_shops_due("reminders.sweep_follow_ups", _sweep_follow_ups)


def _sweep_follow_ups(shop_id: UUID) -> datetime:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        swept = sweep(actor=actor)
        due_at = next_sweep_at(actor)
    if swept.created or swept.closed:
        log.info("%s follow-ups made, %s settled", swept.created, swept.closed)
    return due_at
