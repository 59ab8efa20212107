"""What the papers of billing print besides the issued document."""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from shopapi.accounts.models import Shop
from shopapi.billing.models import Invoice, Payment
from shopapi.billing.queries.invoices import lines_of, totals_of
from shopapi.billing.queries.payments import TOTAL, account_balance, account_of_invoice, dues_of, entries_of
from shopapi.billing.rules.balances import Balance, Due, Entry, balance_of
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceShown, InvoiceState
from shopapi.billing.rules.paper.facts import DeclinedFacts, InvoiceFacts, PaidFacts, WarrantyFacts
from shopapi.billing.rules.payment_link import payment_link
from shopapi.billing.rules.payments import toward_bill
from shopapi.billing.rules.texts import TEXTS
from shopapi.billing.rules.transfers import Transfer, transfer_code
from shopapi.core.actor import Actor
from shopapi.core.languages import locale_for
from shopapi.core.schema import parse
from shopapi.documents.rules import Figures
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Decision, FindingRank
from shopapi.quotes.models import Approval, Line, Quote
from shopapi.quotes.queries.left_safety import left_unrepaired
from shopapi.quotes.rules.left_safety import LeftUnrepaired
from shopapi.quotes.services.quote_pdf import complaint_facts, machine_facts


def settled_at(actor: Actor, invoice: Invoice, at: datetime) -> tuple[int, list[Payment]]:
    """What was paid of an invoice by an instant in minor units, and the entries of its account by then."""
    account = account_of_invoice(invoice)
    issued = Invoice.objects.filter(shop=actor.shop_id, issued_at__lte=at).exclude(state=InvoiceState.DRAFT)
    own = Q(job=account.job_id, customer=account.customer_id) if account.job_id else Q(id=invoice.id)
    bills = issued.filter(own, kind=InvoiceKind.INVOICE)
    credited: dict[UUID | None, int] = {}
    for invoice_id, minor in issued.filter(credited__in=bills.values("id")).values_list("credited_id", TOTAL):
        credited[invoice_id] = credited.get(invoice_id, 0) + minor
    found = bills.order_by("issued_at", "id").values_list("id", TOTAL)
    dues = [Due(bill, minor - credited.get(bill, 0)) for bill, minor in found]
    entries = [one for one in entries_of(actor, account) if one.paid_at <= at]
    balance: Balance = balance_of(dues, [Entry(one.invoice_id, toward_bill(one)) for one in entries])
    paid = {due.invoice_id: minor for due, minor in zip(dues, balance.paid_on, strict=True)}
    return paid.get(invoice.id, 0), entries


def invoice_facts(actor: Actor, invoice: Invoice, shop: Shop) -> InvoiceFacts:
    """The facts of an issued invoice or credit note, as of the moment it was issued."""
    shown, at = parse(InvoiceShown, invoice.shown), invoice.issued_at
    totals = totals_of(invoice)
    if at is None or totals is None:
        raise ValueError(f"invoice {invoice.id} is not issued")
    figures = Figures(locale_for(shop.locale, shown.language), shop.currency, shop.zone, shown.language)
    is_invoice, job = invoice.kind == InvoiceKind.INVOICE, invoice.job
    paid_minor, entries = settled_at(actor, invoice, at) if is_invoice else (0, [])
    left = left_unrepaired(actor.shop_id, job.id, at=at) if job and is_invoice else []
    open_minor = totals.total_minor - paid_minor if is_invoice else 0
    currency = totals_currency(invoice)
    lines = lines_of(invoice)
    return InvoiceFacts(
        state=str(InvoiceState.ISSUED),
        is_mark=invoice.number is None,
        digest=invoice.digest or "",
        machine=None if job is None else machine_facts(job),
        site=None,
        complaints=complaint_facts(job) if job else [],
        approved=_approved(job, at, figures) if job else "",
        paid=[paid_facts(one) for one in entries],
        paid_minor=paid_minor,
        open_minor=open_minor,
        left=left,
        declined=declined_work(actor, job, left) if job and is_invoice else [],
        warranty=[WarrantyFacts(one.words, one.warranty_days, one.warranty_hours) for one in lines]
        if is_invoice
        else [],
        part_numbers={str(one.id): one.part_number for one in lines if one.part_number},
        payment_url=payment_link(
            shown.pay_to.payment_url, number=invoice.number or "", amount_minor=max(open_minor, 0), currency=currency
        ),
        pay_qr=_code(shown, invoice.number or "", open_minor, currency, figures),
    )


def totals_currency(invoice: Invoice) -> str:
    """The currency of an invoice."""
    currency: str = invoice.basis["currency"]
    return currency


def paid_facts(one: Payment) -> PaidFacts:
    return PaidFacts(one.kind, one.method, one.paid_on, toward_bill(one), one.reverses_id is not None)


def _approved(job: Job, at: datetime, figures: Figures) -> str:
    """The day of the last decision about the job."""
    last = Approval.objects.filter(quote__job=job, matches=True, decided_at__lte=at).order_by("decided_at").last()
    return "" if last is None else figures.day(last.decided_at.astimezone(ZoneInfo(figures.zone)).date())


def _code(shown: InvoiceShown, number: str, open_minor: int, currency: str, figures: Figures) -> str:
    """The code for a transfer as SVG; empty where there is none."""
    to = shown.pay_to
    code = transfer_code(Transfer(to.account_name, to.iban, to.bic, currency, open_minor, number))
    if code is None:
        return ""
    title = TEXTS[shown.language].say("qr_title", amount=figures.money(open_minor))
    return code.svg_inline(border=2, title=title, svgclass=None, lineclass=None, omitsize=True)


def declined_work(actor: Actor, job: Job, left: Collection[LeftUnrepaired]) -> list[DeclinedFacts]:
    """The works that the customer of a job declined, without the safety findings that are printed as left."""
    told = {one.finding for one in left}
    quotes = Quote.objects.filter(shop=actor.shop_id, job=job, state="decided")
    amounts = {
        line["id"]: line["amount_minor"]
        for totals in quotes.values_list("totals", flat=True)
        for line in (totals or {"lines": []})["lines"]
    }
    lines = Line.objects.filter(shop=actor.shop_id, quote__in=quotes, decided=Decision.DECLINED)
    ordered = lines.exclude(kind="discount").order_by("quote__created_at", "quote_id", "position", "id")
    works: dict[UUID, list[Line]] = {}
    for line in ordered.select_related("finding"):
        if line.finding is None or line.finding.decided == Decision.DECLINED:
            works.setdefault(line.belongs_to_id or line.id, []).append(line)
    return [
        DeclinedFacts(
            words=next((line for line in work if line.kind == "labor"), work[0]).words,
            is_safety=any(line.rank == FindingRank.SAFETY for line in work),
            amount_minor=sum(amounts.get(str(line.id), 0) for line in work),
        )
        for work in works.values()
        if not any(line.finding is not None and line.finding.words in told for line in work)
    ]


def open_of(actor: Actor, invoice: Invoice) -> int:
    """What is open of an issued invoice now, in minor units; 0 of a credit note."""
    account = account_of_invoice(invoice)
    dues = dues_of(actor, account)
    paid = account_balance(actor, account).paid_on
    return sum(due.minor - minor for due, minor in zip(dues, paid, strict=True) if due.invoice_id == invoice.id)
