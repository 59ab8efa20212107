"""Arrivals: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.events import publish
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.parts.models import PartArrival, PartOrderLine
from shopapi.parts.rules.arrivals import ArrivalCondition, PartArrivalRecord
from shopapi.parts.rules.orders import OrderState
from shopapi.parts.services.orders import follow_lines


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_part_arrival(*, actor: Actor, data: PartArrivalRecord) -> PartArrival:
    """Record what came of a line, and what follows: the state of its order and need, and the price paid.

    What is for the shelf is put there by a stock move of its own.
    """
    refuse_known_id(PartArrival, data.id)
    line = row_for(PartOrderLine, actor, data.order_line_id, field="order_line_id")
    order = line.order
    if order.state in (OrderState.DRAFT, OrderState.CANCELLED):
        raise Conflict("part_order_not_sent", fields=[FieldError("order_line_id", "part_order_not_sent")])
    if data.undoes_id is not None:
        _check_undone(actor, data)
    arrival = PartArrival.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        **data.model_dump() | {"arrived_at": actor.instant_of(data.arrived_at)},
    )
    about = ("part_order", order.id)
    record(actor, "parts arrived", about, line=line.id, quantity=data.quantity, condition=data.condition)
    _keep_cost(actor, line, arrival)
    follow_lines(actor, order)
    return arrival


def _check_undone(actor: Actor, data: PartArrivalRecord) -> None:
    """Refuse to undo what is of another line, is undone, or is the undoing of another arrival."""
    undone = row_for(PartArrival, actor, data.undoes_id, field="undoes_id") if data.undoes_id else None
    if undone is None or undone.order_line_id != data.order_line_id:
        raise Invalid("invalid", fields=[FieldError("undoes_id", "arrival_of_another_line")])
    if undone.undoes_id is not None or PartArrival.objects.filter(shop=actor.shop_id, undoes=undone).exists():
        raise Conflict("arrival_undone", fields=[FieldError("undoes_id", "arrival_undone")])


def _keep_cost(actor: Actor, line: PartOrderLine, arrival: PartArrival) -> None:
    """Keep the price paid with the need and in the catalog, where the next quote finds it."""
    if arrival.cost_minor is None or arrival.undoes_id is not None or arrival.condition != ArrivalCondition.GOOD:
        return
    for kind, row in (("part_need", line.need), ("catalog_part", line.catalog_part)):
        if row is not None and row.cost_minor != arrival.cost_minor:
            before, row.cost_minor = row.cost_minor, arrival.cost_minor
            row.save(update_fields=["cost_minor"])
            record(actor, "price paid", (kind, row.id), before=before, after=arrival.cost_minor)
    if line.need is not None:
        publish("part_priced", actor=actor, need=line.need)
