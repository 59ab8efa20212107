"""Background tasks of customers; rules are in `rules`."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed, pending_args
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import geocoding


@shared_task(name="customers.locate_site", soft_time_limit=30, time_limit=40, ignore_result=True)
def locate_site(shop_id: str, outbox_id: str) -> None:
    """Look up where the address of one site is: no transaction is open while the geocoder is asked."""
    actor = system_actor(UUID(shop_id))
    args = pending_args(shop_id, outbox_id)
    if args is None:
        return
    with in_shop(actor.shop_id):
        lookup = geocoding.begin_lookup(actor=actor, site_id=UUID(args["site_id"]))
    answer = geocoding.look_up(lookup) if lookup else None
    with claimed(shop_id, outbox_id) as still_pending:
        if lookup and still_pending is not None:
            lock_shop(actor.shop_id)
            geocoding.finish_lookup(actor=actor, lookup=lookup, answer=answer)
