"""Places, moves and counts of the stock as services keep them; two phones that take the last part."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.actor import Actor
from shopapi.core.errors import Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.parts.models import PartNeed, StockMove
from shopapi.parts.queries.stock import level_at, stock_levels
from shopapi.parts.services.catalog import add_catalog_part
from shopapi.parts.services.needs import add_part_need
from shopapi.parts.services.orders import add_part_order, add_part_order_line
from shopapi.parts.services.stock import (
    add_stock_place,
    count_stock,
    edit_stock_place,
    fit_from_stock,
    record_stock_move,
    transfer_stock,
)
from shopapi.parts.services.suppliers import add_supplier
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew

MORNING = datetime(2026, 5, 4, 8, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_part(actor: Actor, **more: object) -> UUID:
    return work.made(actor, add_catalog_part, id=uuid7(), description="Deck belt", number="HV-1204", **more)


def a_place(actor: Actor, name: str = "Shelf A", **more: object) -> UUID:
    return work.made(actor, add_stock_place, id=uuid7(), name=name, **more)


def put(actor: Actor, part: UUID, place: UUID, quantity: str, *, at: int = 0, reason: str = "") -> UUID:
    reason = reason or ("arrived" if not quantity.startswith("-") else "fitted")
    return work.made(
        actor,
        record_stock_move,
        id=uuid7(),
        catalog_part_id=part,
        place_id=place,
        quantity=quantity,
        reason=reason,
        moved_at=MORNING + timedelta(hours=at),
    )


def count(actor: Actor, part: UUID, place: UUID, counted: str, *, at: int) -> UUID:
    when = MORNING + timedelta(hours=at)
    names = {"catalog_part_id": part, "place_id": place}
    return work.made(actor, count_stock, id=uuid7(), counted=counted, counted_at=when, **names)


def level(crew: Crew, part: UUID, place: UUID) -> Decimal:
    with in_shop(crew.shop_id):
        return level_at(crew.owner, part, place)


def open_issues(crew: Crew) -> list[Issue]:
    with in_shop(crew.shop_id):
        return list(Issue.objects.filter(shop_id=crew.shop_id, state="open", entity_kind="catalog_part"))


def test_moves_and_counts_give_the_level(crew: Crew) -> None:
    part, place = a_part(crew.owner), a_place(crew.owner)
    put(crew.mechanic, part, place, "5")
    put(crew.mechanic, part, place, "-1.5", at=1)
    assert level(crew, part, place) == Decimal("3.5")
    counted = count(crew.mechanic, part, place, "3", at=2)
    put(crew.mechanic, part, place, "1", at=3)
    assert level(crew, part, place) == 4
    with in_shop(crew.shop_id):
        move = StockMove.objects.get(id=counted)
        assert (move.quantity, move.counted_level, move.reason) == (Decimal("-0.5"), Decimal(3), "counted")


def test_a_move_from_before_the_count_that_comes_late_changes_nothing(crew: Crew) -> None:
    part, place = a_part(crew.owner), a_place(crew.owner)
    put(crew.owner, part, place, "5")
    count(crew.owner, part, place, "4", at=3)
    # A phone without signal until now: the one it took was missing already when the shelf was counted.
    put(crew.mechanic, part, place, "-1", at=2)
    assert level(crew, part, place) == 4
    # A count of before the other: the later one holds.
    late = count(crew.mechanic, part, place, "9", at=1)
    assert level(crew, part, place) == 4
    with in_shop(crew.shop_id):
        assert StockMove.objects.get(id=late).quantity == 4


def test_two_phones_that_take_the_last_one_end_in_an_issue(crew: Crew) -> None:
    part, place = a_part(crew.owner), a_place(crew.owner)
    put(crew.owner, part, place, "1")
    put(crew.mechanic, part, place, "-1", at=1)
    assert open_issues(crew) == []
    put(crew.office, part, place, "-1", at=1)
    (issue,) = open_issues(crew)
    assert (issue.kind, issue.entity_id, issue.ours["place_id"]) == ("held", part, str(place))
    assert '"level": "1"' in issue.words
    assert level(crew, part, place) == -1
    # A third one says more about the same issue.
    put(crew.mechanic, part, place, "-1", at=2)
    (same,) = open_issues(crew)
    assert same.id == issue.id
    assert '"level": "2"' in same.words
    # A count settles it.
    count(crew.mechanic, part, place, "0", at=4)
    assert open_issues(crew) == []
    assert level(crew, part, place) == 0


def test_places_are_counted_apart(crew: Crew) -> None:
    part, shelf, truck = a_part(crew.owner), a_place(crew.owner), a_place(crew.owner, "Truck 1", kind="truck")
    put(crew.owner, part, shelf, "5")
    moved = {"catalog_part_id": part, "quantity": "2", "moved_at": MORNING, "note": "For Saturday"}
    ids = {"id": uuid7(), "arriving_id": uuid7(), "from_place_id": shelf, "to_place_id": truck}
    leaving = work.made(crew.mechanic, transfer_stock, **ids, **moved)
    with in_shop(crew.shop_id):
        assert dict(stock_levels(crew.owner)) == {(part, shelf): 3, (part, truck): 2}
        assert dict(stock_levels(crew.owner, place_id=truck)) == {(part, truck): 2}
        arriving = StockMove.objects.get(id=ids["arriving_id"])
        assert (arriving.counterpart_id, arriving.quantity) == (leaving, Decimal(2))
    same = {**ids, "id": uuid7(), "arriving_id": uuid7(), "to_place_id": shelf}
    with pytest.raises(Invalid) as refused:
        work.made(crew.mechanic, transfer_stock, **same, **moved)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("to_place_id", "same_place")]


def test_a_part_fitted_from_the_truck_is_taken_from_it(crew: Crew) -> None:
    part, truck = a_part(crew.owner), a_place(crew.owner, "Truck 1", kind="truck", holder_id=crew.mechanic.member_id)
    put(crew.owner, part, truck, "3")
    job = work.a_job(crew.owner)
    need = work.made(crew.mechanic, add_part_need, id=uuid7(), job_id=job, description="Belt", quantity="2")
    with in_shop(crew.shop_id):
        assert Job.objects.get(id=job).waits_on == ["parts"]
    fitted: dict[str, Any] = {"need_id": need, "catalog_part_id": part, "place_id": truck, "fitted_at": MORNING}
    work.made(crew.mechanic, fit_from_stock, id=uuid7(), quantity="2", **fitted)
    with in_shop(crew.shop_id):
        row = PartNeed.objects.get(id=need)
        assert (row.state, row.used_from_id, row.fitted_at) == ("fitted", truck, MORNING)
        assert Job.objects.get(id=job).waits_on == []
        assert [move.need_id for move in StockMove.objects.filter(reason="fitted")] == [need]
    assert level(crew, part, truck) == 1
    # A second phone says the same part was fitted from elsewhere: both moves happened, the first place stays.
    shelf = a_place(crew.owner)
    work.made(crew.office, fit_from_stock, id=uuid7(), quantity="2", **fitted | {"place_id": shelf})
    assert level(crew, part, shelf) == -2
    assert len(open_issues(crew)) == 1
    with in_shop(crew.shop_id):
        assert PartNeed.objects.get(id=need).used_from_id == truck


def test_what_cannot_be_is_refused_by_field(crew: Crew) -> None:
    part, place = a_part(crew.owner), a_place(crew.owner)
    with pytest.raises(Invalid) as refused:
        put(crew.owner, part, place, "-2", reason="arrived")
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("quantity", "moved_wrong_way")]
    with pytest.raises(NotFound) as unknown:
        put(crew.owner, part, uuid7(), "2")
    assert unknown.value.fields[0].field == "place_id"
    stranger = open_crew("Other Yard")
    with pytest.raises(NotFound):
        put(crew.owner, a_part(stranger.owner), place, "2")
    with pytest.raises(NotFound):
        work.do(
            crew.owner,
            edit_stock_place,
            id=place,
            base={"holder_id": None},
            set={"holder_id": str(stranger.owner.member_id)},
        )


def test_the_report_says_what_is_missing_to_the_minimum(crew: Crew) -> None:
    part, shelf = a_part(crew.owner, minimum="6", bin="A 1"), a_place(crew.owner)
    truck = a_place(crew.owner, "Truck 1", kind="truck")
    put(crew.owner, part, shelf, "2")
    put(crew.owner, part, truck, "-1")
    supplier = work.made(crew.office, add_supplier, id=uuid7(), name="Oakline Supply")
    order = work.made(crew.office, add_part_order, id=uuid7(), supplier_id=supplier, mark="B-1")
    about = {"order_id": order, "number": "HV-1204", "description": "Deck belt", "catalog_part_id": part}
    work.made(crew.office, add_part_order_line, id=uuid7(), quantity="3", **about)
    plenty = a_part(crew.owner, minimum="1", bin="A 2")
    put(crew.owner, plenty, shelf, "1.5")
    a_part(crew.owner)
    found = Browser(crew.mechanic).get("reports/stock").json()["parts"]
    figures = [[each[name] for name in ("minimum", "on_hand", "on_order", "missing")] for each in found]
    assert figures == [["6", "2", "3", "1"], ["1", "1.5", "0", "0"]]
    levels = [(each["place"], each["level"]) for each in found[0]["levels"]]
    assert levels == [("Shelf A", "2"), ("Truck 1", "-1")]
    (only,) = Browser(crew.mechanic).get("reports/stock", below_minimum="true").json()["parts"]
    assert only["catalog_part_id"] == str(part)
