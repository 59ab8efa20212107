"""Background tasks of the bench; rules are in `rules`."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.bench.services import labels
from shopapi.core.background import claimed


@shared_task(name="bench.make_labels", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_labels(shop_id: str, outbox_id: str) -> None:
    """Make one sheet of labels."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            labels.make_labels(actor=system_actor(UUID(shop_id)), sheet_id=UUID(args["sheet_id"]))
