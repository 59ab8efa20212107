"""Issuing invoices: number, date, frozen names and totals."""

from datetime import date, timedelta

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice
from shopapi.billing.queries import invoices as queries
from shopapi.billing.queries.collecting import authorized, billed_on
from shopapi.billing.queries.payments import account_of_corrected, paid_before
from shopapi.billing.queries.seller import seller_of
from shopapi.billing.rules.authorized import beyond, counted
from shopapi.billing.rules.document import invoice_document
from shopapi.billing.rules.invoices import (
    InvoiceIssue,
    InvoiceKind,
    InvoiceParty,
    InvoiceShown,
    InvoiceState,
    PayTo,
)
from shopapi.billing.rules.settings import BillingSettingsFields
from shopapi.billing.services.closing import require_open
from shopapi.billing.services.invoice_pdf import request_pdf
from shopapi.billing.services.invoices import draft_for, with_totals
from shopapi.billing.services.unpaid_invoices import keep_unpaid_invoices
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now, today
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.languages import Language
from shopapi.core.numbering import Series, called_before
from shopapi.core.schema import to_json
from shopapi.documents.rules.number_format import Figures
from shopapi.machines.rules import machine_text
from shopapi.quotes.queries import confirmed_prices, prices_of_shop
from shopapi.quotes.rules import check_lines, profile_on
from shopapi.quotes.rules.canonical_json import json_digest
from shopapi.quotes.rules.confirmed import unconfirmed
from shopapi.quotes.rules.totals import QuoteTotals

FIRST_NUMBER = 1001
LONGEST_WITHOUT_SIGNAL = timedelta(days=31)
"""An invoice is dated at most so many days before the day on which it reaches the server."""


@command(needs=Permission.BILL)
def issue_invoice(*, actor: Actor, data: InvoiceIssue) -> Invoice:
    """Issue an invoice as it was shown: it gets the next number, and from then on it never changes."""
    invoice = draft_for(actor, data.id, field="id")
    if invoice.kind != InvoiceKind.INVOICE:
        raise Conflict("not_an_invoice", fields=[FieldError("id", "not_an_invoice")])
    totals = checked_totals(actor, invoice, data)
    if unseen := unconfirmed(confirmed_prices(actor)):
        raise Conflict("invoice_prices_unconfirmed", fields=unseen)
    _check_tax_in_force(actor, invoice, data.issued_on)
    _check_authorized(actor, invoice, totals)
    return issue(actor, invoice, data, totals)


def checked_totals(actor: Actor, invoice: Invoice, data: InvoiceIssue) -> QuoteTotals:
    """The totals that are issued. Raises a refusal if anything is missing, or if another total was shown."""
    lines, basis, discount = queries.lines_of(invoice), queries.basis_of(invoice), queries.discount_of(invoice)
    faults = check_lines(basis, lines, discount=discount)
    if not lines:
        faults = [FieldError("lines", "invoice_without_lines")]
    if faults:
        raise Invalid("invalid", message="invoice_invalid", fields=faults)
    _check_day(actor, data.issued_on)
    require_open(actor, data.issued_on, field="issued_on")
    totals = queries.totals_of(with_totals(invoice))
    if totals is None or totals.total_minor <= 0:
        raise Invalid("invalid", fields=[FieldError("lines", "invoice_for_nothing")])
    if totals.total_minor != data.total_minor:
        context = {"total": money(actor, totals.total_minor)}
        fault = FieldError("total_minor", "invoice_total_differs", context=context)
        raise Conflict("invoice_total_differs", fields=[fault], context=context)
    return totals


def _check_day(actor: Actor, issued_on: date) -> None:
    latest = today(shop_of(actor).zone)
    # A phone east of the shop may be a day ahead.
    if not latest - LONGEST_WITHOUT_SIGNAL <= issued_on <= latest + timedelta(days=1):
        context = {"days": LONGEST_WITHOUT_SIGNAL.days}
        raise Invalid("invalid", fields=[FieldError("issued_on", "invoice_day_improbable", context=context)])


def _check_tax_in_force(actor: Actor, invoice: Invoice, on: date) -> None:
    """Raise a refusal if the tax profile is not the one in force on the invoice date, which is the tax point."""
    (profile,) = queries.basis_of(invoice).tax_profiles
    current = profile_on(prices_of_shop(actor).tax_profiles, on)
    if current is not None and current.key == profile.key:
        return
    context: dict[str, str] = {"label": profile.label, "day": on.isoformat()}
    message = "invoice_tax_ended"
    if current is not None:
        message, context = "invoice_tax_replaced", {**context, "current": current.label}
    fault = FieldError("tax_profile", "invoice_tax_ended", message=message, context=context)
    raise Invalid("invoice_tax_ended", reason=fault.reason, fields=[fault])


def _check_authorized(actor: Actor, invoice: Invoice, totals: QuoteTotals) -> None:
    """Raise Conflict where a job would be billed beyond what was agreed: the customer is asked first."""
    if invoice.job_id is None:
        return
    limit = authorized(actor, invoice.job_id)
    wanted = counted(totals, queries.lines_of(invoice))
    if over := beyond(limit, billed_on(actor, invoice.job_id), wanted):
        context = {"agreed": money(actor, limit.agreed_minor), "beyond": money(actor, over)}
        fault = FieldError("lines", "invoice_beyond_agreed", context=context)
        raise Conflict("invoice_beyond_agreed", fields=[fault], context=context)


def money(actor: Actor, minor: int) -> str:
    """An amount as the shop's members read it, for a refusal."""
    shop = shop_of(actor)
    return Figures(shop.locale, shop.currency, shop.zone).money(minor)


def issue(actor: Actor, invoice: Invoice, data: InvoiceIssue, totals: QuoteTotals) -> Invoice:
    """Give a checked draft its number and freeze it."""
    settings = queries.settings_of(actor)
    invoice.number = _take_number(actor, invoice, settings)
    if actor.number not in ("", invoice.number):
        invoice.mark = called_before(invoice.mark, actor.number)
    invoice.issued_on = data.issued_on
    if invoice.kind == InvoiceKind.INVOICE and invoice.due_on is None:
        invoice.due_on = data.issued_on + timedelta(days=settings.payment_days)
    if invoice.kind == InvoiceKind.INVOICE:
        invoice.paid_before_minor = paid_before(actor, invoice, totals.total_minor)
    shown = _shown(actor, invoice, settings, data.language)
    document = invoice_document(
        kind=InvoiceKind(invoice.kind),
        number=invoice.number,
        issued_on=invoice.issued_on,
        due_on=invoice.due_on,
        shown=shown,
        book=queries.basis_of(invoice),
        lines=queries.lines_of(invoice),
        discount=queries.discount_of(invoice),
        exempt=invoice.exempt,
        totals=totals,
        note=invoice.note,
    )
    invoice.shown = to_json(shown)
    invoice.digest = json_digest(document)
    invoice.state = InvoiceState.ISSUED
    invoice.issued_at = now()
    invoice.issued_by_id = actor.member_id
    invoice.save()
    keep_unpaid_invoices(actor, account_of_corrected(invoice))
    request_pdf(actor, invoice)
    record(
        actor,
        f"{invoice.kind.replace('_', ' ')} issued",
        ("invoice", invoice.id),
        number=invoice.number,
        total=totals.total_minor,
        digest=invoice.digest,
    )
    return invoice


def _take_number(actor: Actor, invoice: Invoice, settings: BillingSettingsFields) -> str:
    """The next number of its series: without gaps, since the shop's write lock is held and a rollback gives it back.

    A document that had a number before the server was restored from a backup keeps it, unless another has it by now.
    """
    credit = invoice.kind == InvoiceKind.CREDIT_NOTE
    prefix = settings.credit_prefix if credit else settings.invoice_prefix
    series = Series(str(invoice.kind), prefix, first=FIRST_NUMBER)
    return series.take(
        actor, is_taken=lambda wanted: Invoice.objects.filter(shop=actor.shop_id, number=wanted).exists()
    )


def _shown(actor: Actor, invoice: Invoice, settings: BillingSettingsFields, language: Language) -> InvoiceShown:
    shop, customer, job = shop_of(actor), invoice.customer, invoice.job
    machine = None if job is None else job.machine
    return InvoiceShown(
        seller=seller_of(shop, settings),
        customer=InvoiceParty(
            name=customer.name,
            person=customer.person,
            address=customer.address,
            country=customer.country,
            phone=customer.phone,
            email=customer.email,
        ),
        machine=""
        if machine is None
        else machine_text(
            kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial, language=language
        ),
        job_number="" if job is None else job.number or job.mark,
        credited_number="" if invoice.credited is None else invoice.credited.number or "",
        exempt_reason=customer.exempt_reason if invoice.exempt else "",
        pay_to=PayTo(
            iban=settings.iban,
            bic=settings.bic,
            account_name=settings.account_name,
            payment_url=settings.payment_url,
        ),
        words=settings.invoice_words,
        language=language,
    )
