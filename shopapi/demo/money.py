"""Invoices and payments of the demo shop's finished jobs."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from shopapi.billing.models import Invoice
from shopapi.billing.services.invoices import draft_invoice
from shopapi.billing.services.issuing import issue_invoice
from shopapi.billing.services.payments import record_payment
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Stage
from shopapi.quotes.models import Line
from shopapi.quotes.rules import ShopPrices

Do = Callable[..., Any]
IdOf = Callable[[str, str, datetime], UUID]

METHODS = ("check", "card", "cash")


def bill(do: Do, id_of: IdOf, *, job: Job, basis: ShopPrices, at: datetime) -> None:
    """Draft a bill of what was accepted; issue it once the job is returned; all is paid where it is closed."""
    if not Line.objects.filter(quote__job=job, decided="accepted").exists():
        return
    invoice_id = id_of("invoice", job.mark, at)
    who = {"job_id": job.id, "customer_id": job.customer_id}
    do("office", draft_invoice, id=invoice_id, mark=f"{job.mark}-I1", basis=basis, **who)
    if job.stage == Stage.READY:
        return
    total = (Invoice.objects.get(id=invoice_id).totals or {}).get("total_minor", 0)
    do("office", issue_invoice, id=invoice_id, issued_on=at.date(), total_minor=total)
    closed = job.stage == Stage.CLOSED
    do(
        "office",
        record_payment,
        id=id_of("payment", job.mark, at),
        job_id=job.id,
        kind="payment" if closed else "deposit",
        method=METHODS[total % len(METHODS)],
        amount_minor=total if closed else max(total // 4, 1),
        paid_at=at + timedelta(minutes=5),
    )
