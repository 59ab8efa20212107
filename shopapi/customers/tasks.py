"""Background tasks of customers; rules are in `rules`."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed
from shopapi.customers.services import geocoding


@shared_task(name="customers.locate_site", soft_time_limit=30, time_limit=40, ignore_result=True)
def locate_site(shop_id: str, outbox_id: str) -> None:
    """Look up where the address of one site is."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            geocoding.locate_site(actor=system_actor(UUID(shop_id)), site_id=UUID(args["site_id"]))
