"""Import of a price list over REST: upload, dry run, import; what suppliers list is looked up; costs stay hidden."""

import threading
from typing import Any
from uuid import UUID

import pytest
from django.db import connections, transaction

from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.parts.models import CatalogPart, SupplierPrice, SupplierPriceList
from shopapi.parts.rules.price_list_schemas import PriceListOptions
from shopapi.parts.services import price_lists
from shopapi.parts.services.catalog import add_catalog_part
from shopapi.parts.services.price_lists import drop_price_list
from shopapi.parts.services.suppliers import add_supplier
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew

AS_READ = parse(PriceListOptions, {})
# As long as lists of large suppliers are.
ROWS = 20_000
LIST = (
    b"Part No.,Description,Dealer Net,List Price,Core\n"
    b"HV-1204,Deck belt,18.42,31.95,\n"
    b"HV-88,Starter,94.00,159.99,25.00\n"
    b",Nameless,1.00,2.00,\n"
    b"HV-9,Spindle,ask,80.00,\n"
)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.fixture
def supplier(crew: Crew) -> UUID:
    return work.made(crew.office, add_supplier, id=uuid7(), name="Norwick Parts")


def upload(crew: Crew, supplier: UUID, content: bytes, list_id: UUID | None = None) -> Any:
    query = f"id={list_id or uuid7()}&supplier_id={supplier}&name=spring.csv"
    address = f"/api/v1/supplier-price-lists/upload?{query}"
    return Browser(crew.office).client.post(address, content, content_type="application/octet-stream")


def check(crew: Crew, list_id: str, **options: object) -> Any:
    return Browser(crew.office).post(f"supplier-price-lists/{list_id}/check", options).json()


def start(crew: Crew, list_id: str, **options: object) -> Any:
    # A refusal rolls back what the view did, and not the test.
    with transaction.atomic():
        return Browser(crew.office).post(f"supplier-price-lists/{list_id}/import", options)


def listed(crew: Crew) -> dict[str, int | None]:
    with in_shop(crew.shop_id):
        return dict(SupplierPrice.objects.values_list("number", "cost_minor"))


def test_a_dry_run_says_what_an_import_does_and_writes_nothing(crew: Crew, supplier: UUID) -> None:
    answer = upload(crew, supplier, LIST)
    assert answer.status_code == 201, answer.content
    list_id = answer.json()["id"]
    found = check(crew, list_id)
    assert [column["field"] for column in found["columns"]] == ["number", "description", "cost", "price", "core"]
    assert {name: found[name] for name in ("rows", "new", "changed", "same", "gone", "broken", "mark")} == {
        "rows": 4,
        "new": 2,
        "changed": 0,
        "same": 0,
        "gone": 0,
        "broken": 2,
        "mark": ".",
    }
    assert [(fault["row"], fault["field"]) for fault in found["broken_rows"]] == [(4, "number"), (5, "cost")]
    assert listed(crew) == {}


def test_rows_that_can_be_read_are_imported_and_the_others_reported(crew: Crew, supplier: UUID) -> None:
    list_id = upload(crew, supplier, LIST).json()["id"]
    answer = start(crew, list_id)
    assert answer.status_code == 200, answer.content
    row = answer.json()
    assert (row["state"], row["new"], [fault["row"] for fault in row["refused"]]) == ("imported", 2, [4, 5])
    assert listed(crew) == {"HV-1204": 1842, "HV-88": 9400}
    # The same again, as after a lost answer, changes nothing.
    assert start(crew, list_id).json()["new"] == 2
    assert Browser(crew.office).post(f"supplier-price-lists/{list_id}/check", {}).status_code == 409


def test_the_next_list_replaces_the_one_before(crew: Crew, supplier: UUID) -> None:
    start(crew, upload(crew, supplier, LIST).json()["id"])
    newer = b"number,cost\nHV1204,19.00\nHV-7,3.00\n"
    list_id = upload(crew, supplier, newer).json()["id"]
    found = check(crew, list_id)
    assert (found["new"], found["changed"], found["gone"]) == (1, 1, 1)
    start(crew, list_id, replace=False)
    assert listed(crew) == {"HV1204": 1900, "HV-7": 300, "HV-88": 9400}
    start(crew, upload(crew, supplier, newer).json()["id"], replace=True)
    assert listed(crew) == {"HV1204": 1900, "HV-7": 300}


def test_costs_of_the_own_catalog_follow_only_when_asked_to(crew: Crew, supplier: UUID) -> None:
    known = {"description": "Belt", "supplier_id": supplier}
    part = work.made(crew.office, add_catalog_part, id=uuid7(), number="hv 1204", cost_minor=1500, **known)
    other = work.made(crew.office, add_catalog_part, id=uuid7(), number="HV-9", cost_minor=700, **known)
    list_id = upload(crew, supplier, LIST).json()["id"]
    (cost,) = check(crew, list_id)["catalog_costs"]
    assert (cost["catalog_part_id"], cost["cost_minor"], cost["listed_minor"]) == (str(part), 1500, 1842)
    start(crew, list_id)
    with in_shop(crew.shop_id):
        assert CatalogPart.objects.get(id=part).cost_minor == 1500
    start(crew, upload(crew, supplier, LIST).json()["id"], update_catalog=True)
    with in_shop(crew.shop_id):
        assert CatalogPart.objects.get(id=part).cost_minor == 1842
        # Its row of the list could not be read.
        assert CatalogPart.objects.get(id=other).cost_minor == 700


def test_a_part_is_found_by_number_or_words_and_costs_are_hidden(crew: Crew, supplier: UUID) -> None:
    start(crew, upload(crew, supplier, LIST).json()["id"])
    for words, numbers in (("hv12", ["HV-1204"]), ("belt", ["HV-1204"]), ("HV", ["HV-1204", "HV-88"]), ("x", [])):
        rows = Browser(crew.office).get("supplier-prices", q=words).json()["rows"]
        assert sorted(row["number"] for row in rows) == numbers, words
    (row,) = Browser(crew.office).get("supplier-prices", q="hv88").json()["rows"]
    assert (row["cost_minor"], row["price_minor"], row["core_minor"]) == (9400, 15999, 2500)
    (hidden,) = Browser(crew.mechanic).get("supplier-prices", q="hv88").json()["rows"]
    assert (hidden["cost_minor"], hidden["price_minor"]) == (None, 15999)


def test_what_cannot_be_imported_is_refused_with_the_way_out(crew: Crew, supplier: UUID) -> None:
    empty = upload(crew, supplier, b"")
    assert (empty.status_code, empty.json()["fields"][0]["field"]) == (422, "file")
    nameless = upload(crew, supplier, b"X,Y\n1,2\n").json()["id"]
    assert check(crew, nameless)["numbers_missing"] is True
    refused = start(crew, nameless)
    assert refused.json()["fields"][0]["code"] == "list_numbers_missing"
    assert start(crew, nameless, fields={"0": "number"}).status_code == 200
    assert start(crew, upload(crew, supplier, b"number,cost\nA,ask\n").json()["id"]).status_code == 409
    stranger = open_crew("Other Yard")
    assert upload(stranger, supplier, LIST).status_code == 404
    assert start(stranger, upload(crew, supplier, LIST).json()["id"]).status_code == 404


def test_an_upload_that_nobody_imports_is_dropped(crew: Crew, supplier: UUID) -> None:
    left, used = (upload(crew, supplier, LIST).json()["id"] for _ in range(2))
    start(crew, used)
    with in_shop(crew.shop_id):
        for each in (left, used):
            drop_price_list(actor=crew.owner, list_id=UUID(each))
        assert [str(one.id) for one in SupplierPriceList.objects.all()] == [used]


def test_an_interrupted_import_goes_on_where_it_stopped(
    crew: Crew, supplier: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(price_lists, "CHUNK", 1)
    list_id = UUID(upload(crew, supplier, LIST).json()["id"])
    written = price_lists._put_prices
    calls: list[object] = []

    def breaks_off(actor: Actor, supplier_id: UUID, parts: Any) -> None:
        calls.append(parts)
        if len(calls) == 2:
            raise ConnectionError
        written(actor, supplier_id, parts)

    monkeypatch.setattr(price_lists, "_put_prices", breaks_off)
    with pytest.raises(ConnectionError):
        price_lists.import_price_list(actor=crew.office, list_id=list_id, options=AS_READ)
    assert listed(crew) == {"HV-1204": 1842}
    done = price_lists.import_price_list(actor=crew.office, list_id=list_id, options=AS_READ)
    # The counts are those of the first try, and nothing is there twice.
    assert (done.state, done.new, done.changed) == ("imported", 2, 0)
    assert listed(crew) == {"HV-1204": 1842, "HV-88": 9400}


def test_others_write_while_a_long_list_is_imported(committed_db: None) -> None:
    crew = open_crew()
    supplier = work.made(crew.office, add_supplier, id=uuid7(), name="Norwick Parts")
    rows = b"".join(b"LP-%05d,Part,%d.00\n" % (number, number % 90 + 1) for number in range(ROWS))
    file: dict[str, Any] = {"file_name": "long.csv", "content": b"number,x,cost\n" + rows}
    with in_shop(crew.shop_id):
        list_id = price_lists.store_price_list(actor=crew.office, list_id=uuid7(), supplier_id=supplier, **file).id

    def run() -> None:
        try:
            price_lists.import_price_list(actor=crew.office, list_id=list_id, options=AS_READ)
        finally:
            connections.close_all()

    importing = threading.Thread(target=run)
    importing.start()
    between = set()
    while importing.is_alive():
        work.a_customer(crew.mechanic)
        with in_shop(crew.shop_id):
            between.add(SupplierPrice.objects.count())
    importing.join()
    # Customers were added when some of the list was there and some was not.
    assert between - {0, ROWS}
    with in_shop(crew.shop_id):
        assert SupplierPrice.objects.count() == ROWS
        assert SupplierPriceList.objects.get(id=list_id).state == "imported"
