"""How PostgreSQL reads what promises and overdue orders are made of, in a shop with thousands of past orders."""

from datetime import timedelta
from uuid import UUID

from django.db import connections

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.parts.models import PartOrder, PartOrderLine
from shopapi.parts.queries.promises import lines_under_way, sent_lines
from shopapi.parts.rules.lead_times import MOST_WAITS
from tests.factories import work
from tests.factories.crews import Crew, open_crew

ORDERS = 4000


def a_long_past(crew: Crew) -> UUID:
    """Orders of two suppliers, all closed but one in a hundred; returns the id of one of the suppliers."""
    suppliers = [work.a_supplier(crew.office, name=name) for name in ("Oakline", "Norwick")]
    orders = [
        PartOrder(
            id=uuid7(),
            shop_id=crew.shop_id,
            supplier_id=suppliers[number % 2],
            number=f"PO-{number}",
            state="closed" if number % 100 else "sent",
            sent_at=now() - timedelta(hours=number),
            sent_how="phone",
        )
        for number in range(ORDERS)
    ]
    with in_shop(crew.shop_id):
        PartOrder.objects.bulk_create(orders)
        PartOrderLine.objects.bulk_create(
            PartOrderLine(shop_id=crew.shop_id, order=order, description="Deck belt", quantity=1) for order in orders
        )
    with connections["owner"].cursor() as cursor:
        cursor.execute("ANALYZE parts_partorder, parts_partorderline")
    return suppliers[0]


def test_past_orders_are_not_read(committed_db: None) -> None:
    crew = open_crew()
    supplier = a_long_past(crew)
    with in_shop(crew.shop_id):
        history = sent_lines(crew.owner, supplier)[:MOST_WAITS].explain()
        to_come = lines_under_way(crew.owner).explain()
    assert "part_order_by_sent" in history, history
    assert "part_order_by_state" in to_come, to_come
    for plan in (history, to_come):
        assert "Seq Scan" not in plan, plan
