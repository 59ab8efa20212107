"""Reads of orders of parts."""

from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.notices.queries import notices
from shopapi.parts.models import PartArrival, PartOrder, PartOrderLine
from shopapi.parts.rules.arrivals import ArrivalCondition, Arrived, good_of
from shopapi.parts.rules.orders import UNDERWAY, LineAnswer, LineStatus, OrderState


def lines_of(order: PartOrder) -> list[PartOrderLine]:
    """The lines of an order with what came of them, in their order."""
    found = PartOrderLine.objects.filter(shop=order.shop_id, order=order.id)
    return list(found.prefetch_related("arrivals").order_by("position", "id"))


def status_of(line: PartOrderLine) -> LineStatus:
    """A line as the rules see it."""
    arrived = [
        Arrived(each.id, each.quantity, ArrivalCondition(each.condition), each.undoes_id)
        for each in line.arrivals.all()
    ]
    return LineStatus(line.quantity, LineAnswer(line.answer), good_of(arrived))


def order_under_way_of(actor: Actor, need_id: UUID) -> PartOrder | None:
    """The order that a need is on and still to come by: a draft, or one under way."""
    lines = PartOrderLine.objects.filter(
        shop=actor.shop_id, need=need_id, order__state__in=(OrderState.DRAFT, *UNDERWAY)
    )
    for line in lines.select_related("order").prefetch_related("arrivals"):
        if status_of(line).open:
            order: PartOrder = line.order
            return order
    return None


def has_arrivals(actor: Actor, order_id: UUID) -> bool:
    """Whether something came of an order, in whatever condition, and was not undone."""
    found = PartArrival.objects.filter(shop=actor.shop_id, order_line__order=order_id)
    return found.filter(undoes=None, undone_by=None).exists()


def mails_of(actor: Actor, order_id: UUID) -> int:
    """How many mails there have been about an order."""
    return notices(actor).filter(about_kind="part_order", about_id=order_id).count()
