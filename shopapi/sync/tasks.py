"""Background work of the command log. No rule lives here."""

import logging
from uuid import UUID

from celery import shared_task
from django.conf import settings

from shopapi.accounts.queries import every_shop
from shopapi.accounts.rules.security_events import SERVER
from shopapi.core.background import in_each_shop
from shopapi.sync.queries import shops_with_waiting_commands
from shopapi.sync.services import held_commands, retention

log = logging.getLogger("shopapi.sync")


@shared_task(name="sync.process_waiting_commands", soft_time_limit=240, time_limit=300, ignore_result=True)
def process_waiting_commands() -> None:
    """In each shop, run commands whose missing row came by another way than a push; open issues for overdue ones."""
    in_each_shop(shops_with_waiting_commands(), _process_waiting_commands)


def _process_waiting_commands(shop_id: UUID) -> None:
    held_commands.process_waiting_commands(shop_id=shop_id)


@shared_task(name="sync.drop_old_rows", soft_time_limit=3_000, time_limit=3_300, ignore_result=True)
def drop_old_rows() -> None:
    """In each shop, delete traces that are older than the settings keep them; and sessions that have ended.

    The audit events of no shop are kept for as long as those of shops.
    """
    if dropped := retention.drop_ended_sessions():
        log.info("%s ended sessions deleted", dropped)
    in_each_shop([*every_shop(), SERVER], _drop_old_rows)


def _drop_old_rows(shop_id: UUID) -> None:
    dropped = retention.drop_old_rows(shop_id=shop_id, keep=retention.KeepDays(**settings.KEEP_DAYS))
    if dropped:
        log.info("old rows deleted: %s", ", ".join(f"{count} {name}" for name, count in dropped.items()))
