"""Background work of the command log. No rule lives here."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop
from shopapi.core.background import in_each_shop
from shopapi.sync.services import held_commands


@shared_task(name="sync.process_waiting_commands", soft_time_limit=240, time_limit=300, ignore_result=True)
def process_waiting_commands() -> None:
    """In each shop, run commands whose missing row came by another way than a push; open issues for overdue ones."""
    in_each_shop(every_shop(), _process_waiting_commands)


def _process_waiting_commands(shop_id: UUID) -> None:
    held_commands.process_waiting_commands(shop_id=shop_id)
