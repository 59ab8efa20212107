"""Lists cost the same number of queries however long they are, and give each row once, page by page."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.core.resources import all_resources
from tests.api.conftest import PopulatedShop, create_populated_shop
from tests.factories import work
from tests.factories.crews import Browser
from tests.factories.examples import Scene

# Signing in and looking for the shop: session, user, membership, the shop to see.
BEFORE = 4
ONE_A_SHOP = {"shop", "price-book", "yard"}
# And one for the rows, whatever the list.
BUDGET = BEFORE + 1


def test_list_query_count_is_constant(own_shop: PopulatedShop) -> None:
    browser, scene = Browser(own_shop.crew.owner), Scene(own_shop.crew.owner)
    for resource in all_resources():
        if resource.reads is None:
            continue
        if resource.kind not in ONE_A_SHOP:
            scene.new(resource.kind)
        for limit in (1, 3):
            with CaptureQueriesContext(connection) as ran:
                answer = browser.get(resource.plural, limit=limit)
            asked = [query["sql"] for query in ran if "SAVEPOINT" not in query["sql"]]
            assert answer.status_code == 200
            assert len(answer.json()["rows"]) == 1 or (limit > 1 and resource.kind not in ONE_A_SHOP), resource.kind
            assert len(asked) == BUDGET, (resource.kind, limit, asked)


def test_pages_give_each_row_once_in_creation_order(own_shop: PopulatedShop) -> None:
    made = [
        own_shop.ids["customers"],
        *(work.a_customer(own_shop.crew.owner, name=f"No. {count}") for count in range(6)),
    ]
    browser = Browser(own_shop.crew.mechanic)
    found, cursor = [], ""
    for _ in range(4):
        page = browser.get("customers", limit=2, **({"cursor": cursor} if cursor else {})).json()
        found += [row["id"] for row in page["rows"]]
        cursor = page["next"]
    assert found == [str(one) for one in made]
    assert cursor is None


def test_filters_narrow_the_list(own_shop: PopulatedShop) -> None:
    actor, browser = own_shop.crew.owner, Browser(own_shop.crew.owner)
    other = work.a_job(actor)
    assert [row["id"] for row in browser.get("jobs", machine_id=str(own_shop.ids["machines"])).json()["rows"]] == [
        str(own_shop.ids["jobs"])
    ]
    assert browser.get("complaints", job_id=str(other)).json()["rows"] == []
    assert browser.get("jobs", stage="closed").json()["rows"] == []
    assert browser.get("quotes", state="decided").json()["rows"][0]["id"] == str(own_shop.ids["quotes"])
    assert browser.get("customers", archived="true").json()["rows"] == []
    assert browser.get("customers", changed_since="2099-01-01T00:00:00Z").json()["rows"] == []


@pytest.mark.parametrize("route", ["quotes", "quote-lines", "price-book"])
def test_costs_are_hidden_without_permission(own_shop: PopulatedShop, route: str) -> None:
    row_id = own_shop.ids[route]
    shown = {
        role: [
            *Browser(actor).get(route).json()["rows"],
            Browser(actor).get(f"{route}/{row_id}").json(),
        ]
        for role, actor in {"mechanic": own_shop.crew.mechanic, "owner": own_shop.crew.owner}.items()
    }
    if route == "quote-lines":
        assert [row["unit_cost_minor"] for row in shown["owner"] if row["kind"] == "part"] == [1000]
        hidden = [row for row in shown["mechanic"] if row["kind"] == "part"]
        assert [(row["unit_cost_minor"], row["unit_price_minor"]) for row in hidden] == [(None, 1400)]
        return
    prices = "prices" if route == "price-book" else "basis"
    for row in shown["owner"]:
        assert row[prices]["part_bands"] == [{"up_to_minor": None, "markup_percent": "40"}]
    for row in shown["mechanic"]:
        assert row[prices]["part_bands"] == []


def test_mechanics_phone_receives_no_cost(committed_db: None) -> None:
    populated = create_populated_shop("Bench & Bar")
    rows = {}
    for actor in (populated.crew.mechanic, populated.crew.owner):
        browser, device = Browser(actor), str(actor.device_id)
        snapshot = browser.get("sync/snapshot", device=device).json()
        work.a_quote(populated.crew.owner, populated.ids["jobs"])
        pulled = browser.get("sync/pull", device=device, cursor=snapshot["cursor"]).json()
        rows[actor] = [snapshot["rows"], pulled["rows"]]
    for seen in rows[populated.crew.mechanic]:
        parts = [row for row in seen["quote_line"] if row["kind"] == "part"]
        assert [(row["unit_cost_minor"], row["unit_price_minor"]) for row in parts] == [(None, 1400)] * len(parts)
        assert parts
        assert [row["basis"]["part_bands"] for row in seen["quote"]] == [[]] * len(seen["quote"])
    assert rows[populated.crew.mechanic][0]["price_book"][0]["prices"]["part_bands"] == []
    assert {row["unit_cost_minor"] for row in rows[populated.crew.owner][0]["quote_line"]} == {None, 1000}
