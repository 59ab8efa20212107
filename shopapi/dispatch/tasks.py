"""Background work of dispatch. No rule lives here."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed
from shopapi.dispatch.services import making


@shared_task(name="dispatch.make_plan", soft_time_limit=120, time_limit=150, ignore_result=True)
def make_plan(shop_id: str, outbox_id: str) -> None:
    """Make one plan that was asked for."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            making.make_plan(actor=system_actor(UUID(shop_id)), plan_id=UUID(args["plan_id"]))
