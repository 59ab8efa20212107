"""Parts of the demo shop: suppliers, stock, an order under way. Makes, numbers and prices are invented."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from shopapi.jobs.rules import Stage
from shopapi.parts.models import CatalogPart, PartNeed, PartOrderLine
from shopapi.parts.rules.needs import PartState
from shopapi.parts.services.arrivals import record_part_arrival
from shopapi.parts.services.catalog import add_catalog_part
from shopapi.parts.services.needs import edit_part_need, fit_part
from shopapi.parts.services.orders import (
    add_part_order,
    add_part_order_line,
    answer_part_order_line,
    note_part_order_sent,
)
from shopapi.parts.services.returns import add_part_return, send_part_return
from shopapi.parts.services.stock import add_stock_place, count_stock
from shopapi.parts.services.suppliers import add_supplier

Do = Callable[..., Any]
IdOf = Callable[[str, str, datetime], UUID]

SUPPLIERS: Sequence[Mapping[str, Any]] = (
    {
        "name": "Tollgate Engine Parts",
        "email": "orders@tollgate.example",
        "phone": "(555) 014-0171",
        "customer_number": "TG-2214",
        "order_by": "mail",
        "lead_days": 3,
        "address": "Unit 3, Tollgate Yard\nPellan Mills",
        "lat": "40.3018",
        "lon": "-98.4256",
        "opens": "07:30",
        "closes": "16:30",
        "open_on": ["monday", "tuesday", "wednesday", "thursday", "friday"],
        "stop_minutes": 10,
    },
    {
        "name": "Marlow Farm Supply",
        "phone": "(555) 014-0148",
        "order_by": "counter",
        "lead_days": 1,
        "address": "40 Marlow Road\nPellan Mills",
        "lat": "40.3172",
        "lon": "-98.4521",
        "opens": "08:00",
        "closes": "18:00",
    },
)
# Number, description, cost, price, minimum, how many on the shelf and in the van.
STOCK: Sequence[tuple[str, str, int, int, str, str, str]] = (
    ("TG-SP14", "Spark plug, 14 mm", 310, 595, "6", "11", "4"),
    ("TG-OF3", "Oil filter, spin-on", 740, 1_290, "4", "3", "2"),
    ("TG-FL6", "Fuel line, 6 mm, per foot", 95, 220, "10", "24", "6"),
    ("MF-GR1", "Grease cartridge", 420, 790, "2", "1", "0"),
)
MOST_ORDERED = 4
FITTED_FROM = (Stage.TESTING, Stage.READY, Stage.RETURNED, Stage.CLOSED)


def fit_parts(do: Do, *, who: str, job_id: UUID, at: datetime) -> None:
    """Fit what a finished job needed."""
    for need_id in PartNeed.objects.filter(job=job_id, state=PartState.WANTED).values_list("id", flat=True):
        do(who, fit_part, id=need_id, fitted_at=at)


def create_parts(do: Do, id_of: IdOf, *, mechanic_id: UUID | None, at: datetime) -> None:
    """Add suppliers, a catalog with counted stock, an order of which one part has come, the draft of another."""
    suppliers = [id_of("supplier", each["name"], at) for each in SUPPLIERS]
    for supplier_id, fields in zip(suppliers, SUPPLIERS, strict=True):
        do("office", add_supplier, id=supplier_id, **fields)
    shelf, van = id_of("stock_place", "shelf", at), id_of("stock_place", "van", at)
    do("office", add_stock_place, id=shelf, name="Shelf", kind="shelf")
    do("office", add_stock_place, id=van, name="The van", kind="truck", holder_id=mechanic_id)
    for number, description, cost, price, minimum, *counts in STOCK:
        part_id = id_of("catalog_part", number, at)
        known = {"number": number, "description": description, "cost_minor": cost, "price_minor": price}
        supplier_id = suppliers[0] if number.startswith("TG") else suppliers[1]
        do("office", add_catalog_part, id=part_id, supplier_id=supplier_id, minimum=minimum, **known)
        for place_id, counted in zip((shelf, van), counts, strict=True):
            count_id = id_of("stock_move", f"{number}/{place_id}", at)
            where = {"catalog_part_id": part_id, "place_id": place_id}
            do("mechanic", count_stock, id=count_id, counted=counted, counted_at=at, **where)
    _order(do, id_of, supplier_id=suppliers[0], at=at)
    _draft(do, id_of, supplier_id=suppliers[1], at=at)


def _order(do: Do, id_of: IdOf, *, supplier_id: UUID, at: datetime) -> None:
    """Order what open jobs want from the first supplier; one line has come, one comes later."""
    order_id = id_of("part_order", "first", at)
    do("office", add_part_order, id=order_id, supplier_id=supplier_id, mark="C-1-P1")
    wanted = PartNeed.objects.filter(state=PartState.WANTED).order_by("created_at", "id")[:MOST_ORDERED]
    line_ids = []
    for position, need in enumerate(wanted):
        line_ids.append(id_of("part_order_line", str(need.id), at))
        edit = {"base": {"supplier_id": None}, "set": {"supplier_id": supplier_id}}
        do("office", edit_part_need, id=need.id, **edit)
        do(
            "office",
            add_part_order_line,
            id=line_ids[-1],
            order_id=order_id,
            need_id=need.id,
            number=need.number,
            description=need.description,
            quantity=need.quantity,
            cost_minor=need.cost_minor,
            position=position,
        )
    sent = at - timedelta(days=2)
    do("office", note_part_order_sent, id=order_id, how="mail", sent_at=sent)
    first, second, third, *_ = line_ids
    do("office", answer_part_order_line, id=second, answer="back_ordered", promised_on=(at + timedelta(days=9)).date())
    quantity = PartNeed.objects.get(id=wanted[0].id).quantity
    arrival = {"order_line_id": first, "quantity": quantity, "arrived_at": at}
    do("mechanic", record_part_arrival, id=id_of("part_arrival", "first", at), **arrival)
    _send_back(do, id_of, supplier_id=supplier_id, line_id=third, at=at)


def _send_back(do: Do, id_of: IdOf, *, supplier_id: UUID, line_id: UUID, at: datetime) -> None:
    """One of a line came damaged and is on its way back; its money is still to come."""
    arrival = {"order_line_id": line_id, "quantity": "1", "condition": "damaged", "arrived_at": at}
    do("mechanic", record_part_arrival, id=id_of("part_arrival", "damaged", at), **arrival)
    line = PartOrderLine.objects.get(id=line_id)
    return_id = id_of("part_return", "damaged", at)
    do(
        "mechanic",
        add_part_return,
        id=return_id,
        supplier_id=supplier_id,
        order_line_id=line_id,
        need_id=line.need_id,
        number=line.number,
        description=line.description,
        quantity="1",
        reason="damaged",
        expected_minor=line.cost_minor,
    )
    do("mechanic", send_part_return, id=return_id, sent_on=at.date())


def _draft(do: Do, id_of: IdOf, *, supplier_id: UUID, at: datetime) -> None:
    """Begin an order of what the shelf is short of; nobody has sent it."""
    order_id = id_of("part_order", "draft", at)
    do("office", add_part_order, id=order_id, supplier_id=supplier_id, mark="C-2-P2")
    for part in CatalogPart.objects.filter(supplier=supplier_id).order_by("created_at", "id"):
        do(
            "office",
            add_part_order_line,
            id=id_of("part_order_line", part.number, at),
            order_id=order_id,
            catalog_part_id=part.id,
            number=part.number,
            description=part.description,
            quantity="2",
            cost_minor=part.cost_minor,
        )
