"""Background tasks of parts; rules are in `rules`."""

from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.core.background import claimed
from shopapi.core.feed import lock_shop
from shopapi.parts.services import order_pdf, price_lists, stock_sheets


@shared_task(name="parts.make_stock_sheet", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_stock_sheet(shop_id: str, outbox_id: str) -> None:
    """Make one count sheet or one sheet of labels."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            stock_sheets.make_stock_sheet(actor=system_actor(UUID(shop_id)), sheet_id=UUID(args["sheet_id"]))


@shared_task(name="parts.drop_price_list", soft_time_limit=10, time_limit=20, ignore_result=True)
def drop_price_list(shop_id: str, outbox_id: str) -> None:
    """Remove the file of a price list that was uploaded and never imported."""
    actor = system_actor(UUID(shop_id))
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            lock_shop(actor.shop_id)
            price_lists.drop_price_list(actor=actor, list_id=UUID(args["list_id"]))


@shared_task(name="parts.make_order_pdf", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_order_pdf(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one order."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            order_pdf.make_order_pdf(actor=system_actor(UUID(shop_id)), order_id=UUID(args["order_id"]))
