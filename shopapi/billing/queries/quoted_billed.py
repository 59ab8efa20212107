"""What was quoted against what was billed in a period, with a fixed number of queries."""

from collections import Counter, defaultdict
from collections.abc import Collection
from datetime import date
from decimal import Decimal
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice, InvoiceLine
from shopapi.billing.queries.earnings import clocked_on, issued
from shopapi.billing.queries.invoices import totals_of
from shopapi.billing.rules.invoices import sign_of
from shopapi.billing.rules.quoted_billed import (
    BilledJob,
    BilledPart,
    QuotedBilledReport,
    QuotedPart,
    quoted_billed_row,
    sum_of_jobs,
)
from shopapi.core.actor import Actor
from shopapi.core.money import minor_digits
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Decision
from shopapi.labor.queries.hours import Period, work_spans
from shopapi.labor.rules.spans import clip_spans
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.queries import rule_line, totals_as_decided

HOUR = 3600


def quoted_billed_report(actor: Actor, period: Period) -> QuotedBilledReport:
    """The jobs whose last invoice was issued in the period: quoted against billed, hours billed against clocked."""
    first, last = period.days[0].on, period.days[-1].on
    invoices = _invoices(actor, first, last)
    quotes = _quotes(actor, invoices)
    clocked = clocked_on(actor, invoices)
    jobs = (
        Job.objects.filter(shop=actor.shop_id, id__in=invoices).select_related("machine").order_by("-opened_at", "id")
    )
    rows = [
        quoted_billed_row(
            BilledJob(
                job_id=job.id,
                job=str(job),
                kind=job.machine.kind,
                quotes=quotes.get(job.id, []),
                invoices=invoices[job.id],
                clocked_seconds=sum(clocked[job.id].values()),
            )
        )
        for job in jobs.order_by("-opened_at", "id")
    ]
    paid = None
    if actor.may(Permission.CORRECT_TIME):
        spans = clip_spans(work_spans(actor, period, None), period.begins_at, period.ends_at)
        paid = sum(span.seconds for span in spans)
    return QuotedBilledReport(
        zone=period.zone,
        first=first,
        last=last,
        minor_digits=minor_digits(period.shop.currency),
        whole=sum_of_jobs(rows, paid),
        jobs=rows,
    )


def _invoices(actor: Actor, first: date, last: date) -> dict[UUID, list[BilledPart]]:
    """By job whose last invoice was issued in the days, all its invoices and credit notes, in their order."""
    candidates = issued(actor).filter(issued_on__range=(first, last), job__isnull=False).values("job")
    found: dict[UUID, list[Invoice]] = defaultdict(list)
    for invoice in issued(actor).filter(job__in=candidates).order_by("issued_on", "issued_at", "id"):
        if invoice.job_id is not None:
            found[invoice.job_id].append(invoice)
    within = {job_id: each for job_id, each in found.items() if (each[-1].issued_on or date.max) <= last}
    seconds = _billed_seconds(actor, [invoice.id for each in within.values() for invoice in each])
    return {job_id: [_billed(invoice, seconds) for invoice in each] for job_id, each in within.items()}


def _billed(invoice: Invoice, seconds: Counter[UUID]) -> BilledPart:
    totals, sign = totals_of(invoice), sign_of(invoice.kind)
    return BilledPart(
        invoice_id=invoice.id,
        number=str(invoice),
        billed_minor=0 if totals is None else sign * totals.net_minor,
        billed_seconds=sign * seconds[invoice.id],
    )


def _billed_seconds(actor: Actor, invoice_ids: Collection[UUID]) -> Counter[UUID]:
    rows = InvoiceLine.objects.filter(
        shop=actor.shop_id, invoice__in=invoice_ids, kind="labor", hours__isnull=False
    ).values_list("invoice", "hours")
    hours: dict[UUID, Decimal] = defaultdict(Decimal)
    for invoice_id, each in rows:
        hours[invoice_id] += each or 0
    return Counter({invoice_id: round(each * HOUR) for invoice_id, each in hours.items()})


def _quotes(actor: Actor, job_ids: Collection[UUID]) -> dict[UUID, list[QuotedPart]]:
    rows = Quote.objects.filter(shop=actor.shop_id, job__in=job_ids, state="decided").order_by("offered_at", "id")
    decided = list(rows)
    lines: dict[UUID, list[Line]] = defaultdict(list)
    of_quotes = Line.objects.filter(shop=actor.shop_id, quote__in=[quote.id for quote in decided])
    for line in of_quotes.order_by("position", "id"):
        lines[line.quote_id].append(line)
    found: dict[UUID, list[QuotedPart]] = defaultdict(list)
    for quote in decided:
        accepted = {line.id for line in lines[quote.id] if line.decided == Decision.ACCEPTED}
        labor = [line for line in lines[quote.id] if line.kind == "labor" and line.id in accepted]
        totals = totals_as_decided(quote, [rule_line(line) for line in lines[quote.id]], accepted)
        found[quote.job_id].append(
            QuotedPart(
                quote_id=quote.id,
                number=quote.number or quote.mark,
                quoted_minor=totals.net_minor,
                quoted_seconds=round(sum((line.hours or Decimal(0) for line in labor), Decimal(0)) * HOUR),
            )
        )
    return found
