"""An order of parts as PDF."""

from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.rows import row_for
from shopapi.core.schema import Target
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.parts.models import PartOrder
from shopapi.parts.queries.orders import lines_of
from shopapi.parts.rules.order_sheet import OrderSheet, SheetFact, SheetLine, SheetParty


@command(needs=Permission.ORDER_PARTS, rest_name="print")
def print_part_order(*, actor: Actor, data: Target) -> PartOrder:
    """Request the PDF of an order, as it is now."""
    order = row_for(PartOrder, actor, data.id)
    order.pdf_state, order.pdf_reason = "waiting", ""
    order.save(update_fields=["pdf_state", "pdf_reason"])
    record(actor, "PDF asked for", ("part_order", order.id))
    after_commit("parts.make_order_pdf", shop_id=actor.shop_id, order_id=order.id)
    return order


def make_order_pdf(*, actor: Actor, order_id: UUID) -> None:
    """Make the PDF of an order and store it, or the reason why that failed. The caller holds the transaction."""
    waiting = PartOrder.objects.filter(shop=actor.shop_id, id=order_id, pdf_state="waiting")
    order = waiting.select_related("supplier").first()
    if order is None:
        return
    shop = shop_of(actor)
    try:
        content = render_pdf(
            "parts/order.html",
            {"sheet": sheet_of(order, shop)},
            paper_size="a4" if shop.paper_size == "a4" else "letter",
            language=shop.locale,
        )
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as failed:
        lock_shop(actor.shop_id)
        order.pdf_state, order.pdf_reason = "failed", pack(failed.reason)
        order.save(update_fields=["pdf_state", "pdf_reason"])
        return
    lock_shop(actor.shop_id)
    order.pdf_state, order.document = "ready", document
    order.save(update_fields=["pdf_state", "document"])
    record(actor, "PDF made", ("part_order", order.id), document=document.id)


def sheet_of(order: PartOrder, shop: Shop) -> OrderSheet:
    """What the PDF of an order prints: the parts and their prices, as far as they are known."""
    figures = Figures(shop.locale, shop.currency, shop.zone)
    supplier = order.supplier
    sent = order.sent_at.astimezone(ZoneInfo(shop.zone)).date() if order.sent_at else today(shop.zone)
    facts = [SheetFact("Date", figures.day(sent))]
    if supplier.customer_number:
        facts.append(SheetFact("Our customer number", supplier.customer_number))
    lines = tuple(
        SheetLine(
            quantity=figures.number(line.quantity),
            number=line.number,
            description=line.description,
            price="" if line.cost_minor is None else figures.money(line.cost_minor),
        )
        for line in lines_of(order)
    )
    return OrderSheet(
        language=shop.locale,
        title=f"Order {order}",
        foot=f"{shop.name}, order {order}",
        name="Order",
        number=str(order),
        shop_name=shop.name,
        shop_lines=tuple(text for text in (shop.address, shop.phone, shop.email) if text),
        asides=(),
        parties=(SheetParty("Supplier", supplier.name, tuple(t for t in (supplier.phone, supplier.email) if t)),),
        facts=tuple(facts),
        lines=lines,
        note=order.note.strip(),
    )
