"""Reads of the stock."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.parts.models import CatalogPart, PartOrderLine, StockMove, StockPlace, StockSheet
from shopapi.parts.queries.orders import status_of
from shopapi.parts.rules.orders import UNDERWAY, OrderState
from shopapi.parts.rules.stock import (
    Move,
    StockedPart,
    StockLevel,
    StockReport,
    level_of,
    missing_to_minimum,
)

Levels = Mapping[tuple[UUID, UUID], Decimal]
"""Levels by part and place."""
# As one walks along the shelves.
BY_BIN = ("bin", "number", "description", "id")


def level_at(actor: Actor, part_id: UUID, place_id: UUID, *, at: datetime | None = None) -> Decimal:
    """How many of a part are at a place, or were at an instant."""
    moves = _moves(actor).filter(catalog_part=part_id, place=place_id)
    if at is not None:
        moves = moves.filter(moved_at__lte=at)
    return _levels(moves).get((part_id, place_id), Decimal(0))


def stock_levels(actor: Actor, *, place_id: UUID | None = None) -> Levels:
    """The levels of every part at every place where it ever was, or at one place."""
    moves = _moves(actor)
    return _levels(moves if place_id is None else moves.filter(place=place_id))


def _moves(actor: Actor) -> QuerySet[StockMove]:
    return StockMove.objects.filter(shop=actor.shop_id)


def _levels(moves: QuerySet[StockMove]) -> Levels:
    found: defaultdict[tuple[UUID, UUID], list[Move]] = defaultdict(list)
    columns = ("catalog_part_id", "place_id", "moved_at", "id", "quantity", "counted_level")
    for part_id, place_id, *figures in moves.values_list(*columns):
        found[part_id, place_id].append(Move(*figures))
    return {key: level_of(moves_there) for key, moves_there in found.items()}


def stock_report(actor: Actor) -> StockReport:
    """Every part that is somewhere or has a minimum, by bin and number."""
    by_part: defaultdict[UUID, dict[UUID, Decimal]] = defaultdict(dict)
    for (part_id, place_id), level in stock_levels(actor).items():
        if level:
            by_part[part_id][place_id] = level
    names = dict(StockPlace.objects.filter(shop=actor.shop_id).values_list("id", "name"))
    coming = _on_order(actor)
    parts = CatalogPart.objects.filter(shop=actor.shop_id).order_by(*BY_BIN)
    wanted = [part for part in parts if part.id in by_part or (part.minimum > 0 and not part.archived)]
    return StockReport(parts=[_stocked(part, by_part[part.id], coming[part.id], names) for part in wanted])


def _stocked(
    part: CatalogPart, levels: Mapping[UUID, Decimal], coming: Decimal, names: Mapping[UUID, str]
) -> StockedPart:
    on_hand = sum((max(level, Decimal(0)) for level in levels.values()), Decimal(0))
    return StockedPart(
        catalog_part_id=part.id,
        number=part.number,
        description=part.description,
        bin=part.bin,
        minimum=part.minimum,
        on_hand=on_hand,
        on_order=coming,
        missing=missing_to_minimum(on_hand, coming, part.minimum),
        levels=[
            StockLevel(place_id=place_id, place=names[place_id], level=level)
            for place_id, level in sorted(levels.items(), key=lambda item: (names[item[0]], item[0]))
        ],
    )


def _on_order(actor: Actor) -> Mapping[UUID, Decimal]:
    """How many of each part are still to come for the shelf, by orders that are drafts or under way."""
    lines = PartOrderLine.objects.filter(
        shop=actor.shop_id,
        need=None,
        catalog_part__isnull=False,
        order__state__in=(OrderState.DRAFT, *UNDERWAY),
    )
    found: defaultdict[UUID, Decimal] = defaultdict(Decimal)
    for line in lines.prefetch_related("arrivals"):
        if line.catalog_part_id is not None:
            found[line.catalog_part_id] += status_of(line).open
    return found


def parts_to_print(actor: Actor, sheet: StockSheet, at_place: Mapping[UUID, Decimal]) -> list[CatalogPart]:
    """The parts of a sheet: those that were named, or those at its place, by bin and number.

    A place where nothing was ever counted gets every part of the catalog, to begin with.
    """
    parts = CatalogPart.objects.filter(shop=actor.shop_id)
    if sheet.catalog_part_ids:
        by_id = {str(part.id): part for part in parts.filter(id__in=sheet.catalog_part_ids)}
        return [by_id[part_id] for part_id in sheet.catalog_part_ids if part_id in by_id]
    there = [part_id for part_id, level in at_place.items() if level]
    return list((parts.filter(id__in=there) if at_place else parts.filter(archived=False)).order_by(*BY_BIN))
