"""Background tasks of billing; rules are in `rules`."""

from datetime import datetime
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import system_actor
from shopapi.billing.queries.invoices import invoices_awaiting_pdf
from shopapi.billing.services import invoice_pdf, printouts
from shopapi.core.background import claimed
from shopapi.core.clock import now
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop


@shared_task(name="billing.make_pdf", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_pdf(shop_id: str, outbox_id: str) -> None:
    """Make the PDF of one invoice."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            invoice_pdf.make_pdf(actor=system_actor(UUID(shop_id)), invoice_id=UUID(args["invoice_id"]))


@shared_task(name="billing.make_printout", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_printout(shop_id: str, outbox_id: str) -> None:
    """Make one receipt or statement."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            printouts.make_printout(actor=system_actor(UUID(shop_id)), printout_id=UUID(args["printout_id"]))


@shared_task(name="billing.mark_overdue_pdfs_failed", soft_time_limit=50, time_limit=60, ignore_result=True)
def mark_overdue_pdfs_failed() -> None:
    """In each shop that waits for one, mark PDFs of invoices as failed whose outbox entry has failed."""
    in_shops_due("billing.mark_overdue_pdfs_failed", _mark_overdue_pdfs_failed, kinds=("invoice",))


def _mark_overdue_pdfs_failed(shop_id: UUID) -> datetime | None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        invoice_pdf.mark_overdue_pdfs_failed(actor=actor)
        waiting = invoices_awaiting_pdf(actor).exists()
    return now() if waiting else None
