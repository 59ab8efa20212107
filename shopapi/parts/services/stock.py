"""The stock: the only writer of its places and moves."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import Reason, pack, refuse_faults
from shopapi.core.feed import open_issue
from shopapi.core.models import Issue
from shopapi.core.money import plain_decimal
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit
from shopapi.parts.models import CatalogPart, PartNeed, StockMove, StockPlace
from shopapi.parts.queries.stock import level_at
from shopapi.parts.rules.needs import PartState
from shopapi.parts.rules.stock import (
    NewStockPlace,
    StockCount,
    StockFitting,
    StockMoveReason,
    StockMoveRecord,
    StockPlaceFields,
    StockTransfer,
    move_faults,
    transfer_faults,
)
from shopapi.parts.services.needs import set_part_state


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_stock_place(*, actor: Actor, data: NewStockPlace) -> StockPlace:
    """Add a shelf or a truck where parts are kept."""
    refuse_known_id(StockPlace, data.id)
    _check_holder(actor, data)
    place = StockPlace.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "stock place added", ("stock_place", place.id), name=place.name)
    return place


@command(needs=Permission.WORK_JOBS)
def edit_stock_place(*, actor: Actor, data: Edit[StockPlaceFields]) -> StockPlace:
    """Edit a place of the stock."""
    place = row_for(StockPlace, actor, data.id)
    _check_holder(actor, edited(place, data))
    return edit_row(actor=actor, kind="stock_place", row=place, edit=data)


def _check_holder(actor: Actor, data: StockPlaceFields) -> None:
    if data.holder_id is not None:
        row_for(Member, actor, data.holder_id, field="holder_id", lock=False)


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_stock_move(*, actor: Actor, data: StockMoveRecord) -> StockMove:
    """Record parts put to a place, or taken from it."""
    refuse_known_id(StockMove, data.id)
    refuse_faults(move_faults(data))
    move = NewMove(data.id, data.catalog_part_id, data.place_id, data.quantity, data.reason, note=data.note)
    return keep_move(actor, move, actor.instant_of(data.moved_at))


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True, rest_name="count")
def count_stock(*, actor: Actor, data: StockCount) -> StockMove:
    """Record how many of a part were counted at a place; later moves go on from there."""
    refuse_known_id(StockMove, data.id)
    at = actor.instant_of(data.counted_at)
    expected = level_at(actor, data.catalog_part_id, data.place_id, at=at)
    move = NewMove(
        data.id,
        data.catalog_part_id,
        data.place_id,
        data.counted - expected,
        StockMoveReason.COUNTED,
        counted_level=data.counted,
        note=data.note,
    )
    return keep_move(actor, move, at)


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True, rest_name="transfer")
def transfer_stock(*, actor: Actor, data: StockTransfer) -> StockMove:
    """Record parts moved from one place to another, such as from the shelf into a truck."""
    refuse_known_id(StockMove, data.id)
    refuse_known_id(StockMove, data.arriving_id)
    refuse_faults(transfer_faults(data))
    row_for(StockPlace, actor, data.from_place_id, field="from_place_id", lock=False)
    row_for(StockPlace, actor, data.to_place_id, field="to_place_id", lock=False)
    part, moved, at = data.catalog_part_id, StockMoveReason.MOVED, actor.instant_of(data.moved_at)
    leaving = keep_move(actor, NewMove(data.id, part, data.from_place_id, -data.quantity, moved, note=data.note), at)
    arriving = NewMove(data.arriving_id, part, data.to_place_id, data.quantity, moved, counterpart_id=leaving.id)
    keep_move(actor, arriving, at)
    return leaving


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True, rest_name="fit")
def fit_from_stock(*, actor: Actor, data: StockFitting) -> StockMove:
    """Record a part taken from a place and fitted on a job; the part that the job needs is then fitted."""
    refuse_known_id(StockMove, data.id)
    need = row_for(PartNeed, actor, data.need_id, field="need_id")
    at = actor.instant_of(data.fitted_at)
    move = NewMove(
        data.id, data.catalog_part_id, data.place_id, -data.quantity, StockMoveReason.FITTED, need_id=data.need_id
    )
    kept = keep_move(actor, move, at)
    if need.state != PartState.FITTED:
        need.used_from_id = data.place_id
        set_part_state(actor=actor, need=need, state=PartState.FITTED, fitted_at=at)
    return kept


@dataclass(frozen=True, slots=True)
class NewMove:
    """A move to keep; `quantity` is above zero where parts come to the place."""

    id: UUID
    catalog_part_id: UUID
    place_id: UUID
    quantity: Decimal
    reason: StockMoveReason
    need_id: UUID | None = None
    counterpart_id: UUID | None = None
    counted_level: Decimal | None = None
    note: str = ""


def keep_move(actor: Actor, move: NewMove, moved_at: datetime) -> StockMove:
    """Write one move, and open an issue where more was taken than was there; the caller holds the transaction.

    A move is a fact: that the level says otherwise is no reason to refuse it.
    """
    part = row_for(CatalogPart, actor, move.catalog_part_id, field="catalog_part_id", lock=False)
    place = row_for(StockPlace, actor, move.place_id, field="place_id", lock=False)
    kept = StockMove.objects.create(
        id=move.id,
        shop_id=actor.shop_id,
        catalog_part=part,
        place=place,
        quantity=move.quantity,
        reason=move.reason,
        need_id=move.need_id,
        counterpart_id=move.counterpart_id,
        counted_level=move.counted_level,
        note=move.note,
        moved_at=moved_at,
        member_id=actor.member_id,
    )
    record(actor, "stock moved", ("catalog_part", part.id), place=place.id, quantity=plain_decimal(move.quantity))
    _update_issue(actor, part, place, kept)
    return kept


def _update_issue(actor: Actor, part: CatalogPart, place: StockPlace, move: StockMove) -> None:
    """One open issue for each part and place where less than none would be; settled once there is a count or more."""
    level = level_at(actor, part.id, place.id)
    about = Issue.objects.filter(
        shop_id=actor.shop_id, entity_kind="catalog_part", entity_id=part.id, ours__place_id=str(place.id)
    )
    issues = about.filter(state=Issue.State.OPEN, name="count_stock")
    if level >= 0:
        issues.update(state=Issue.State.RESOLVED)
        return
    context = {"part": str(part), "place": place.name, "level": plain_decimal(-level)}
    reason = Reason("stock_below_zero", context)
    if issues.update(words=pack(reason)):
        return
    open_issue(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=actor.command_id,
        name="count_stock",
        entity=("catalog_part", part.id),
        reason=reason,
        theirs={},
        ours={"place_id": str(place.id)},
        member_id=actor.member_id,
        named_after=("stock_move", move.id),
    )
