"""Background tasks of quotes; rules are in `rules`."""

import logging
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, shop_of, system_actor
from shopapi.core.background import claimed, in_each_shop
from shopapi.core.clock import today
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from shopapi.quotes.services import drafts, quote_pdf

log = logging.getLogger("shopapi.quotes")


@shared_task(name="quotes.make_pdf", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_pdf(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one quote."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            quote_pdf.make_pdf(actor=system_actor(UUID(shop_id)), quote_id=UUID(args["quote_id"]))


@shared_task(name="quotes.make_paper", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_pdf_by_former_name(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one quote: for work that a web process of 0.3.0 still enqueues while the update is under way."""
    make_pdf(shop_id, outbox_id)


@shared_task(name="quotes.mark_overdue_pdfs_failed", soft_time_limit=50, time_limit=60, ignore_result=True)
def mark_overdue_pdfs_failed() -> None:
    """In each shop, mark PDFs as failed whose outbox entry has failed."""
    in_each_shop(every_shop(), _mark_overdue_pdfs_failed)


def _mark_overdue_pdfs_failed(shop_id: UUID) -> None:
    with in_shop(shop_id):
        quote_pdf.mark_overdue_pdfs_failed(actor=system_actor(shop_id))


@shared_task(name="quotes.lapse_quotes", soft_time_limit=240, time_limit=300, ignore_result=True)
def lapse_quotes() -> None:
    """In each shop, mark quotes as lapsed whose last day is over there."""
    in_each_shop(every_shop(), _lapse_quotes)


def _lapse_quotes(shop_id: UUID) -> None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        lapsed = drafts.lapse_quotes(actor=actor, today=today(shop_of(actor).zone))
    if lapsed:
        log.info("%s quotes lapsed", lapsed)
