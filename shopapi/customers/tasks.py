"""Background tasks of customers; rules are in `rules`."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed, pending_args
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import geocoding, imports


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
    with claimed(shop_id, outbox_id, counted=True) as still_pending:
        if lookup and still_pending is not None:
            lock_shop(actor.shop_id)
            geocoding.finish_lookup(actor=actor, lookup=lookup, answer=answer)


@shared_task(name="customers.import_rows", soft_time_limit=50, time_limit=60, ignore_result=True)
def import_rows(shop_id: str, outbox_id: str) -> None:
    """Add the next rows of an import."""
    actor = system_actor(UUID(shop_id))
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            lock_shop(actor.shop_id)
            imports.import_rows(actor=actor, import_id=UUID(args["import_id"]))


@shared_task(name="customers.drop_upload", soft_time_limit=10, time_limit=20, ignore_result=True)
def drop_upload(shop_id: str, outbox_id: str) -> None:
    """Remove an address book that was uploaded and never imported."""
    actor = system_actor(UUID(shop_id))
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            lock_shop(actor.shop_id)
            imports.drop_upload(actor=actor, import_id=UUID(args["import_id"]))
