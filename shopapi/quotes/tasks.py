"""Background tasks of quotes; rules are in `rules`."""

import logging
from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.core.background import claimed
from shopapi.core.clock import now, today, tomorrow_at
from shopapi.core.errors import Conflict
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.quotes import queries
from shopapi.quotes.services import drafts, quote_pdf

log = logging.getLogger("shopapi.quotes")


# A quote that changed while its PDF was made is no fault: the sweep starts the task again. Celery logs it as INFO.
EXPECTED = (Conflict,)


@shared_task(name="quotes.make_pdf", soft_time_limit=60, time_limit=90, ignore_result=True, throws=EXPECTED)
def make_pdf(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one quote."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            quote_pdf.make_pdf(actor=system_actor(UUID(shop_id)), quote_id=UUID(args["quote_id"]))


@shared_task(name="quotes.make_paper", soft_time_limit=60, time_limit=90, ignore_result=True, throws=EXPECTED)
def make_pdf_by_former_name(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one quote: for work that a web process of 0.3.0 still enqueues while the update is under way."""
    make_pdf(shop_id, outbox_id)


@shared_task(name="quotes.mark_overdue_pdfs_failed", soft_time_limit=50, time_limit=60, ignore_result=True)
def mark_overdue_pdfs_failed() -> None:
    """In each shop that waits for a PDF, mark PDFs as failed whose outbox entry has failed."""
    in_shops_due("quotes.mark_overdue_pdfs_failed", _mark_overdue_pdfs_failed, kinds=("quote",))


def _mark_overdue_pdfs_failed(shop_id: UUID) -> datetime | None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        quote_pdf.mark_overdue_pdfs_failed(actor=actor)
        waiting = queries.quotes_awaiting_pdf(actor).exists()
    return now() if waiting else None


@shared_task(name="quotes.lapse_quotes", soft_time_limit=240, time_limit=300, ignore_result=True)
def lapse_quotes() -> None:
    """In each shop where something changed or a day began, mark quotes as lapsed whose last day is over there."""
    in_shops_due("quotes.lapse_quotes", _lapse_quotes, kinds=("quote",))


def _lapse_quotes(shop_id: UUID) -> datetime:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        zone = shop_of(actor).zone
        lapsed = drafts.lapse_quotes(actor=actor, today=today(zone))
    if lapsed:
        log.info("%s quotes lapsed", lapsed)
    return tomorrow_at(zone)
