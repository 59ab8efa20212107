"""Import of a supplier's price list: upload, check, import. The only writer of what suppliers list."""

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import timedelta
from functools import partial
from typing import Any, TypeVar
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.feed import lock_shop
from shopapi.core.money import minor_digits
from shopapi.core.rows import id_taken, row_for
from shopapi.core.tenancy import in_shop
from shopapi.customers.rules.address_book import UnreadableBook, clean_line
from shopapi.parts.models import CatalogPart, Supplier, SupplierPrice, SupplierPriceList
from shopapi.parts.rules.price_list_schemas import (
    MOST_LISTED,
    CatalogCost,
    PriceListCheck,
    PriceListColumn,
    PriceListFault,
    PriceListOptions,
    PriceListState,
)
from shopapi.parts.rules.price_lists import (
    FIELDS,
    ListChanges,
    ListColumn,
    ListedPart,
    ListTable,
    PriceList,
    assign_columns,
    compare_lists,
    has_numbers,
    number_key,
    open_list,
    read_list,
)

# A file that nobody imports is dropped.
KEPT = timedelta(days=1)
_EXAMPLES = 3
_EXAMPLE_CHARACTERS = 60
# What of a listed part is kept; the order is that of `figures_of`.
_FIGURES = ("number", "description", "superseded_by", "cost_minor", "price_minor", "core_minor")
# So many rows of a list are written in one transaction.
CHUNK = 1000

T = TypeVar("T")


def store_price_list(
    *, actor: Actor, list_id: UUID, supplier_id: UUID, file_name: str, content: bytes
) -> SupplierPriceList:
    """Keep an uploaded price list; the same id with the same file again is the same upload.

    Raises Invalid for a file that cannot be read or is past the limits, Conflict for an id with another file.
    """
    # Before the lock: others write meanwhile.
    file_name = clean_line(file_name[:1000])[:120] or "price list"
    _open(content)
    lock_shop(actor.shop_id)
    row_for(Supplier, actor, supplier_id, field="supplier_id", lock=False)
    digest = hashlib.sha256(content).hexdigest()
    if known := SupplierPriceList.objects.filter(id=list_id).first():
        if (known.digest, known.supplier_id) != (digest, supplier_id):
            raise id_taken()
        return known
    found = SupplierPriceList.objects.create(
        id=list_id,
        shop_id=actor.shop_id,
        supplier_id=supplier_id,
        file_name=file_name,
        digest=digest,
        content=content,
    )
    record(actor, "price list uploaded", ("supplier_price_list", list_id))
    after_commit("parts.drop_price_list", shop_id=actor.shop_id, at=now() + KEPT, list_id=list_id)
    return found


def drop_price_list(*, actor: Actor, list_id: UUID) -> None:
    """Remove an upload that was never imported to its end. The caller holds the shop's write lock."""
    unfinished = (PriceListState.UPLOADED, PriceListState.BEGUN)
    SupplierPriceList.objects.filter(shop=actor.shop_id, id=list_id, state__in=unfinished).delete()


def check_price_list(*, actor: Actor, found: SupplierPriceList, options: PriceListOptions) -> PriceListCheck:
    """What an import with these options would do; nothing is written."""
    table = _open(_content(found))
    columns = _assign(table, options)
    named = has_numbers(columns)
    plan = _plan(actor, found, table, columns, options) if named else _NOTHING
    return PriceListCheck(
        columns=[
            PriceListColumn(
                place=column.place, header=column.header, field=column.field, examples=_examples(table, column.place)
            )
            for column in columns
        ],
        fields=list(FIELDS),
        numbers_missing=not named,
        mark=plan.list.mark,
        rows=len(table.rows),
        new=len(plan.changes.new),
        changed=len(plan.changes.changed),
        same=plan.changes.same,
        gone=len(plan.changes.gone),
        broken=len({fault.row for fault in plan.list.faults}),
        broken_rows=[PriceListFault(**asdict(fault)) for fault in plan.list.faults[:MOST_LISTED]],
        catalog_costs=[_catalog_cost(*pair) for pair in plan.costs[:MOST_LISTED]],
        catalog_changed=len(plan.costs),
        notices=list(table.notices),
    )


def import_price_list(*, actor: Actor, list_id: UUID, options: PriceListOptions) -> SupplierPriceList:
    """Import an uploaded price list: its rows become what its supplier lists; broken rows are reported.

    The caller has opened no transaction: the file is read without the shop's write lock, and each chunk is written in a
    transaction of its own, so that others write in between. After an interruption the same import again goes on, since
    what was written before is then the same.
    """
    with in_shop(actor.shop_id):
        found = row_for(SupplierPriceList, actor, list_id, lock=False)
        if found.state == PriceListState.IMPORTED:
            # Imported before, by a request whose answer was lost.
            return found
        plan = _plan_import(actor, found, options)
    for step in _steps(actor, found, plan, options):
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            step()
    with in_shop(actor.shop_id):
        return row_for(SupplierPriceList, actor, list_id, lock=False)


def _plan_import(actor: Actor, found: SupplierPriceList, options: PriceListOptions) -> "_Plan":
    """What is left to import. Raises Invalid for a list without numbers, Conflict for one without a readable row."""
    table = _open(_content(found))
    columns = _assign(table, options)
    if not has_numbers(columns):
        raise Invalid("invalid", fields=[FieldError("fields", "list_numbers_missing")])
    plan = _plan(actor, found, table, columns, options)
    if not plan.list.parts:
        raise Conflict("nothing_listed")
    return plan


def _steps(
    actor: Actor, found: SupplierPriceList, plan: "_Plan", options: PriceListOptions
) -> Iterator[Callable[[], None]]:
    """The writes of an import, each short enough for one transaction; the counts are of the first try."""
    yield partial(_begin, actor, found.id, plan, options)
    parts = (*plan.changes.new, *plan.changes.changed)
    for some in _chunks(parts):
        yield partial(_put_prices, actor, found.supplier_id, some)
    if options.replace:
        for keys in _chunks(plan.changes.gone):
            yield partial(_remove_prices, actor, found.supplier_id, keys)
    if options.update_catalog:
        for costs in _chunks(plan.costs):
            yield partial(_follow_costs, actor, found.id, costs)
    yield partial(_finish, actor, found.id)


def _chunks(rows: Sequence[T]) -> Iterator[Sequence[T]]:
    return (rows[start : start + CHUNK] for start in range(0, len(rows), CHUNK))


def _begin(actor: Actor, list_id: UUID, plan: "_Plan", options: PriceListOptions) -> None:
    found = row_for(SupplierPriceList, actor, list_id)
    if found.state != PriceListState.UPLOADED:
        return
    found.new, found.changed, found.same = len(plan.changes.new), len(plan.changes.changed), plan.changes.same
    found.gone = len(plan.changes.gone) if options.replace else 0
    found.catalog_changed = len(plan.costs) if options.update_catalog else 0
    found.refused = [asdict(fault) for fault in plan.list.faults[:MOST_LISTED]]
    found.state = PriceListState.BEGUN
    found.save()


def _finish(actor: Actor, list_id: UUID) -> None:
    found = row_for(SupplierPriceList, actor, list_id)
    if found.state == PriceListState.IMPORTED:
        return
    found.content, found.state = b"", PriceListState.IMPORTED
    found.save(update_fields=["content", "state"])
    record(actor, "price list imported", ("supplier_price_list", found.id), new=found.new, changed=found.changed)


@dataclass(frozen=True, slots=True)
class _Plan:
    """What a list holds, what it changes of what was listed, and the parts of the own catalog whose cost differs."""

    list: PriceList
    changes: ListChanges
    costs: Sequence[tuple[CatalogPart, ListedPart]]


_NOTHING = _Plan(PriceList((), (), ""), ListChanges((), (), 0, ()), ())


def _content(found: SupplierPriceList) -> bytes:
    if found.state == PriceListState.IMPORTED:
        raise Conflict("price_list_imported")
    return bytes(found.content)


def _open(content: bytes) -> ListTable:
    try:
        return open_list(content)
    except UnreadableBook as refused:
        raise Invalid("invalid", fields=[FieldError("file", "list_unreadable", text=str(refused))]) from None


def _assign(table: ListTable, options: PriceListOptions) -> tuple[ListColumn, ...]:
    try:
        return assign_columns(table.columns, {int(place): field for place, field in options.fields.items()})
    except UnreadableBook as refused:
        raise Invalid("invalid", fields=[FieldError("fields", "list_fields", text=str(refused))]) from None


def _plan(
    actor: Actor,
    found: SupplierPriceList,
    table: ListTable,
    columns: Sequence[ListColumn],
    options: PriceListOptions,
) -> _Plan:
    currency = shop_of(actor).currency
    listed = read_list(table, columns, digits=minor_digits(currency), currency=currency, mark=options.mark)
    known = SupplierPrice.objects.filter(shop=actor.shop_id, supplier=found.supplier_id)
    before = {key: figures for key, *figures in known.values_list("number_key", *_FIGURES)}
    changes = compare_lists(listed.parts, {key: _figures(figures) for key, figures in before.items()})
    by_key = {number_key(part.number): part for part in listed.parts if part.cost_minor is not None}
    own = CatalogPart.objects.filter(shop=actor.shop_id, supplier=found.supplier_id, archived=False)
    costs = [
        (part, by_key[key])
        for part in own.order_by("number", "id")
        if (key := number_key(part.number)) in by_key and part.cost_minor != by_key[key].cost_minor
    ]
    return _Plan(listed, changes, costs)


def _figures(figures: Sequence[Any]) -> Any:
    return tuple(figures)


def _put_prices(actor: Actor, supplier_id: UUID, parts: Sequence[ListedPart]) -> None:
    rows = [
        SupplierPrice(
            shop_id=actor.shop_id,
            supplier_id=supplier_id,
            number_key=number_key(part.number),
            **{name: getattr(part, name) for name in _FIGURES},
        )
        for part in parts
    ]
    SupplierPrice.objects.bulk_create(
        rows,
        update_conflicts=True,
        unique_fields=["shop", "supplier", "number_key"],
        update_fields=list(_FIGURES),
    )


def _remove_prices(actor: Actor, supplier_id: UUID, keys: Sequence[str]) -> None:
    SupplierPrice.objects.filter(shop=actor.shop_id, supplier=supplier_id, number_key__in=keys).delete()


def _follow_costs(actor: Actor, list_id: UUID, costs: Sequence[tuple[CatalogPart, ListedPart]]) -> None:
    listed = {part.id: wanted.cost_minor for part, wanted in costs}
    for part in CatalogPart.objects.filter(shop=actor.shop_id, id__in=listed).select_for_update().order_by("id"):
        if part.cost_minor != listed[part.id]:
            part.cost_minor = listed[part.id]
            part.save(update_fields=["cost_minor"])
            record(actor, "cost listed", ("catalog_part", part.id), list=list_id, cost=part.cost_minor)


def _catalog_cost(part: CatalogPart, listed: ListedPart) -> CatalogCost:
    return CatalogCost(
        catalog_part_id=part.id,
        number=part.number,
        description=part.description,
        cost_minor=part.cost_minor,
        listed_minor=listed.cost_minor,
    )


def _examples(table: ListTable, place: int) -> list[str]:
    values = (cells[place] for _, cells in table.rows[:50] if place < len(cells) and cells[place])
    return [value[:_EXAMPLE_CHARACTERS] for value, _ in zip(values, range(_EXAMPLES), strict=False)]
