"""Orders of parts and their lines: their only writer."""

from django.db.models import QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.numbering import Series, called_before
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.notices.rules.notice import Channel
from shopapi.notices.services.notices import post_notice
from shopapi.parts.models import CatalogPart, PartNeed, PartOrder, PartOrderLine, Supplier
from shopapi.parts.queries import orders as queries
from shopapi.parts.rules.order_text import TextLine, lines_text
from shopapi.parts.rules.orders import (
    FOLLOWS_ITS_ORDER,
    NOTHING_TO_COME,
    ORDER_TRANSITIONS,
    UNDERWAY,
    LineAnswer,
    LineAnswered,
    NewPartOrder,
    NewPartOrderLine,
    OrderMail,
    OrderSent,
    OrderState,
    PartOrderFields,
    PartOrderLineFields,
    need_state,
    state_after,
)
from shopapi.parts.rules.suppliers import OrderBy
from shopapi.parts.services.needs import set_part_state

NUMBERS = Series("part_order", "PO", first=1001)
ORDER_MAIL = "part_order"


@command(needs=Permission.ORDER_PARTS, creates_row=True)
def add_part_order(*, actor: Actor, data: NewPartOrder) -> PartOrder:
    """Begin an order and number it."""
    refuse_known_id(PartOrder, data.id)
    row_for(Supplier, actor, data.supplier_id, field="supplier_id")
    number = NUMBERS.take(actor, is_taken=lambda wanted: _numbered(actor, wanted).exists())
    order = PartOrder.objects.create(shop_id=actor.shop_id, number=number, **data.model_dump())
    record(actor, "part order begun", ("part_order", order.id), number=number)
    if actor.number not in ("", number):
        order.mark = called_before(order.mark, actor.number)
        order.save(update_fields=["mark"])
    return order


def _numbered(actor: Actor, number: str) -> QuerySet[PartOrder]:
    return PartOrder.objects.filter(shop=actor.shop_id, number=number)


@command(needs=Permission.ORDER_PARTS)
def edit_part_order(*, actor: Actor, data: Edit[PartOrderFields]) -> PartOrder:
    """Change the promised day, the note or the supplier's bill of an order."""
    order = row_for(PartOrder, actor, data.id)
    return edit_row(actor=actor, kind="part_order", row=order, edit=data)


@command(needs=Permission.ORDER_PARTS, creates_row=True)
def add_part_order_line(*, actor: Actor, data: NewPartOrderLine) -> PartOrderLine:
    """Put a part on an order that was not sent yet; a need goes on one order at a time."""
    refuse_known_id(PartOrderLine, data.id)
    _refuse_sent(row_for(PartOrder, actor, data.order_id, field="order_id"), "order_id")
    if not (data.number or data.description):
        raise Invalid("invalid", fields=[FieldError("description", "part_order_line_empty")])
    if data.catalog_part_id is not None:
        row_for(CatalogPart, actor, data.catalog_part_id, field="catalog_part_id")
    if data.need_id is not None:
        need = row_for(PartNeed, actor, data.need_id, field="need_id")
        other = queries.order_under_way_of(actor, need.id)
        if other is not None:
            context = {"order": str(other), "part": str(need)}
            fault = FieldError("need_id", "part_need_ordered", context=context)
            raise Conflict("part_need_ordered", fields=[fault], context=context)
    line = PartOrderLine.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "part put on order", ("part_order", data.order_id), line=line.id)
    return line


def _refuse_sent(order: PartOrder, field: str) -> None:
    if order.state != OrderState.DRAFT:
        context = {"order": str(order)}
        raise Conflict(
            "part_order_sent", fields=[FieldError(field, "part_order_sent", context=context)], context=context
        )


@command(needs=Permission.ORDER_PARTS)
def edit_part_order_line(*, actor: Actor, data: Edit[PartOrderLineFields]) -> PartOrderLine:
    """Change a line of an order that was not sent yet."""
    line = row_for(PartOrderLine, actor, data.id)
    _refuse_sent(line.order, "id")
    return edit_row(actor=actor, kind="part_order_line", row=line, edit=data)


@command(needs=Permission.ORDER_PARTS, deletes_row=True)
def remove_part_order_line(*, actor: Actor, data: Target) -> PartOrderLine:
    """Take a part off an order that was not sent yet."""
    line = row_for(PartOrderLine, actor, data.id)
    _refuse_sent(line.order, "id")
    remove_row(line, "part_order_line_in_use")
    record(actor, "part taken off order", ("part_order", line.order_id), number=line.number)
    return line


@command(needs=Permission.ORDER_PARTS, fact=True, rest_name="sent")
def note_part_order_sent(*, actor: Actor, data: OrderSent) -> PartOrder:
    """Record that an order reached its supplier; the first time counts."""
    order = row_for(PartOrder, actor, data.id)
    if order.state == OrderState.DRAFT:
        order.sent_at, order.sent_how = actor.instant_of(data.sent_at), data.how
        _set_sent(actor, order)
    return order


def _set_sent(actor: Actor, order: PartOrder) -> None:
    order.state = OrderState.SENT
    order.save(update_fields=["state", "sent_at", "sent_how"])
    record(actor, "part order sent", ("part_order", order.id), how=order.sent_how)
    follow_lines(actor, order)


@command(needs=Permission.ORDER_PARTS, rest_name="mail")
def mail_part_order(*, actor: Actor, data: OrderMail) -> PartOrder:
    """Send an order as a mail of this server; one that was sent may be sent once more."""
    order = row_for(PartOrder, actor, data.id)
    if order.state not in (OrderState.DRAFT, *UNDERWAY):
        raise _not_next(order, OrderState.SENT)
    lines = queries.lines_of(order)
    if not lines:
        raise Conflict("part_order_empty", fields=[FieldError("id", "part_order_empty")])
    supplier = order.supplier
    address = data.address or supplier.email
    if not address:
        raise Invalid("invalid", fields=[FieldError("address", "supplier_without_mail")])
    text = lines_text(
        [TextLine(line.quantity, line.number, line.description) for line in lines],
        customer_number=supplier.customer_number,
        note=order.note,
    )
    post_notice(
        actor=actor,
        channel=Channel.EMAIL,
        address=address,
        name=supplier.name,
        template=ORDER_MAIL,
        values={"supplier": supplier.name, "shop": shop_of(actor).name, "order": str(order), "parts": text},
        about=("part_order", order.id),
        dedupe_key=f"{ORDER_MAIL}:{order.id}:{queries.mails_of(actor, order.id)}",
    )
    if order.state == OrderState.DRAFT:
        order.sent_at, order.sent_how = actor.instant_of(data.sent_at), OrderBy.MAIL
        _set_sent(actor, order)
    return order


@command(needs=Permission.ORDER_PARTS, fact=True, rest_name="answer")
def answer_part_order_line(*, actor: Actor, data: LineAnswered) -> PartOrderLine:
    """Record what the supplier said about a line, or that the shop gave up what has not come."""
    line = row_for(PartOrderLine, actor, data.id)
    line.answer, line.promised_on = data.answer, data.promised_on
    if data.cost_minor is not None:
        line.cost_minor = data.cost_minor
    line.save(update_fields=["answer", "promised_on", "cost_minor"])
    record(actor, "part order line answered", ("part_order", line.order_id), line=line.id, answer=line.answer)
    follow_lines(actor, line.order)
    return line


@command(needs=Permission.ORDER_PARTS)
def cancel_part_order(*, actor: Actor, data: Target) -> PartOrder:
    """Cancel an order of which nothing came; what jobs need of it is wanted again."""
    order = row_for(PartOrder, actor, data.id)
    if OrderState.CANCELLED not in ORDER_TRANSITIONS[OrderState(order.state)]:
        raise _not_next(order, OrderState.CANCELLED)
    if queries.has_arrivals(actor, order.id):
        raise Conflict("part_order_arrived", context={"order": str(order)})
    order.state = OrderState.CANCELLED
    order.save(update_fields=["state"])
    record(actor, "part order cancelled", ("part_order", order.id))
    follow_lines(actor, order)
    return order


@command(needs=Permission.ORDER_PARTS)
def close_part_order(*, actor: Actor, data: Target) -> PartOrder:
    """Close an order: what has not come is given up, and wanted again."""
    order = row_for(PartOrder, actor, data.id)
    if order.state not in UNDERWAY:
        raise _not_next(order, OrderState.CLOSED)
    for line in queries.lines_of(order):
        if line.answer not in NOTHING_TO_COME and queries.status_of(line).open:
            line.answer = LineAnswer.DROPPED
            line.save(update_fields=["answer"])
    record(actor, "part order closed", ("part_order", order.id))
    follow_lines(actor, order)
    return order


def _not_next(order: PartOrder, to: OrderState) -> Conflict:
    context = {"order": str(order), "order_before": order.state, "order_state": to}
    return Conflict("part_order_not_next", context=context)


def follow_lines(actor: Actor, order: PartOrder) -> None:
    """Derive the state of an order and of the needs on it from its lines; the caller holds the transaction."""
    lines = [(line, queries.status_of(line)) for line in queries.lines_of(order)]
    after = state_after(OrderState(order.state), (status for _, status in lines))
    if after != order.state:
        record(actor, "part order moved", ("part_order", order.id), before=order.state, after=after)
        order.state = after
        order.save(update_fields=["state"])
    for line, status in lines:
        if line.need_id is None:
            continue
        need = row_for(PartNeed, actor, line.need_id)
        wanted = need_state(after, status)
        if need.state in FOLLOWS_ITS_ORDER and need.state != wanted:
            set_part_state(actor=actor, need=need, state=wanted)
