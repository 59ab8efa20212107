"""Writing invoices, receipts and statements to customers: a message with the secret link of the PDF."""

from collections.abc import Mapping
from typing import Any

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.models import BillingPrintout, Invoice
from shopapi.billing.queries import invoices as queries
from shopapi.billing.queries.paper import open_of
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceShown, InvoiceState
from shopapi.billing.rules.printouts import BillSend
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.actor import Actor
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError
from shopapi.core.languages import Language, locale_for
from shopapi.core.rows import row_for
from shopapi.core.schema import parse
from shopapi.customers.models import Customer
from shopapi.documents.rules import Figures
from shopapi.notices.queries import notices
from shopapi.notices.services.notices import post_notice


@command(needs=Permission.MESSAGE, rest_name="send")
def send_invoice(*, actor: Actor, data: BillSend) -> Invoice:
    """Write the link of an issued invoice or credit note to the customer.

    Where this server cannot send over the channel, the message waits for a member to send it.
    """
    invoice = queries.invoice_for(actor, data.id, field="id")
    if invoice.state == InvoiceState.DRAFT:
        raise Conflict("invoice_not_issued", fields=[FieldError("id", "invoice_not_issued")])
    language = parse(InvoiceShown, invoice.shown).language
    values = invoice_values(actor, invoice, language)
    template = "invoice_sent" if invoice.kind == InvoiceKind.INVOICE else "billing_paper"
    paper = f"{TEXTS[language][invoice.kind].lower()} {invoice}"
    _post(actor, data, invoice, template, values | {"paper": paper})
    return invoice


@command(needs=Permission.MESSAGE, rest_name="send")
def send_billing_printout(*, actor: Actor, data: BillSend) -> BillingPrintout:
    """Write the link of a receipt or a statement to the customer."""
    printout = row_for(BillingPrintout, actor, data.id, field="id")
    customer: Customer = printout.customer
    texts = TEXTS[customer.language]  # type: ignore[index] # stored choices are languages
    values = {
        "paper": texts[printout.kind].lower(),
        "link": {"resolver": "billing_printout", "id": printout.id},
    }
    _post(actor, data, printout, "billing_paper", values)
    return printout


def invoice_values(actor: Actor, invoice: Invoice, language: Language) -> dict[str, Any]:
    """The fields of a message about an invoice, as it stands now."""
    shop = shop_of(actor)
    figures = Figures(locale_for(shop.locale, language), invoice.basis["currency"], shop.zone, language)
    return {
        "number": str(invoice),
        "total": figures.money(queries.total_of(invoice)),
        "open": figures.money(open_of(actor, invoice)),
        "due": "" if invoice.due_on is None else figures.day(invoice.due_on),
        "link": {"resolver": "invoice", "id": invoice.id},
    }


def _post(
    actor: Actor, data: BillSend, row: Invoice | BillingPrintout, template: str, values: Mapping[str, Any]
) -> None:
    name = data.name.strip() or row.customer.person or row.customer.name
    kind = "billing_printout" if isinstance(row, BillingPrintout) else "invoice"
    language = row.customer.language if isinstance(row, BillingPrintout) else parse(InvoiceShown, row.shown).language
    post_notice(
        actor=actor,
        channel=data.channel,
        address=data.address,
        name=name,
        template=template,
        values={"customer": name, "shop": shop_of(actor).name, **values},
        about=(kind, row.id),
        # Each time that a person sends it is a message of its own.
        dedupe_key=f"{template}:{row.id}:{notices(actor).filter(about_kind=kind, about_id=row.id).count()}",
        language=language,
    )
