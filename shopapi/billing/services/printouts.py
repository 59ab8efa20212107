"""Receipts and statements: requested by people, made by a worker."""

from datetime import timedelta
from uuid import UUID

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.models import BillingPrintout, Payment
from shopapi.billing.queries import printouts as queries
from shopapi.billing.rules.paper.facts import PaperShop
from shopapi.billing.rules.paper.receipt_sheet import ReceiptSheet, lay_out_receipt
from shopapi.billing.rules.paper.statement_sheet import StatementSheet, lay_out_statement
from shopapi.billing.rules.printouts import MOST_STATEMENT_DAYS, ReceiptPrint, StatementPrint
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.commands import command
from shopapi.core.errors import FieldError, Invalid, Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.customers.models import Customer
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.quotes.services.quote_pdf import paper_size_of


@command(needs=Permission.BILL, creates_row=True, rest_name="receipt")
def print_receipt(*, actor: Actor, data: ReceiptPrint) -> BillingPrintout:
    """Request the receipt of an entry of money."""
    refuse_known_id(BillingPrintout, data.id)
    payment = row_for(Payment, actor, data.payment_id, field="payment_id")
    return _request(
        actor,
        BillingPrintout(
            id=data.id,
            shop_id=actor.shop_id,
            kind="receipt",
            customer_id=payment.customer_id,
            payment=payment,
        ),
    )


@command(needs=Permission.BILL, creates_row=True, rest_name="statement")
def print_statement(*, actor: Actor, data: StatementPrint) -> BillingPrintout:
    """Request the statement of a customer. Raises Invalid for days that end before they begin."""
    refuse_known_id(BillingPrintout, data.id)
    row_for(Customer, actor, data.customer_id, field="customer_id")
    if not timedelta(0) <= data.through - data.first_on <= timedelta(days=MOST_STATEMENT_DAYS):
        raise Invalid("invalid", fields=[FieldError("through", "statement_days_wrong")])
    return _request(actor, BillingPrintout(shop_id=actor.shop_id, kind="statement", **data.model_dump()))


def _request(actor: Actor, printout: BillingPrintout) -> BillingPrintout:
    printout.save(force_insert=True)
    record(actor, "PDF asked for", ("billing_printout", printout.id), kind=printout.kind)
    after_commit("billing.make_printout", shop_id=actor.shop_id, printout_id=printout.id)
    return printout


def make_printout(*, actor: Actor, printout_id: UUID) -> None:
    """Make one receipt or statement and store it, or the reason why that failed. The caller holds the transaction."""
    waiting = queries.billing_printouts(actor).filter(id=printout_id, state="waiting")
    printout = waiting.select_related("payment", "customer").first()
    if printout is None:
        return
    shop = shop_of(actor)
    sheet = sheet_of(actor, printout, shop)
    template = f"billing/{printout.kind}.html"
    try:
        content = render_pdf(template, {"sheet": sheet}, paper_size=paper_size_of(shop), language=sheet.language)
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as failed:
        lock_shop(actor.shop_id)
        printout.state, printout.reason = "failed", pack(failed.reason)
        printout.save(update_fields=["state", "reason"])
        return
    lock_shop(actor.shop_id)
    printout.state, printout.document = "ready", document
    printout.save(update_fields=["state", "document"])
    record(actor, "PDF made", ("billing_printout", printout.id), document=document.id)


def sheet_of(actor: Actor, printout: BillingPrintout, shop: Shop) -> ReceiptSheet | StatementSheet:
    """The content of a receipt or a statement as it is now."""
    where = PaperShop(shop.locale, shop.zone, shop.currency)
    if printout.payment is not None:
        return lay_out_receipt(queries.receipt_facts(actor, printout.payment, shop), shop=where)
    if printout.first_on is None or printout.through is None:
        raise ValueError(f"statement {printout.id} has no days")
    facts = queries.statement_facts(actor, printout.customer, shop, printout.first_on, printout.through)
    return lay_out_statement(facts, shop=where)
