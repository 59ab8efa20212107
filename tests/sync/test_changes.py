"""The change list for programs: everything at first, then each change and removal, at least once."""

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any
from urllib.parse import quote, urlencode
from uuid import UUID

import pytest
from django.db import connections

from shopapi.core.audit import record
from shopapi.core.ids import uuid7
from shopapi.core.resources import all_resources
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync import queries
from tests.factories.examples import Scene
from tests.factories.work import a_customer
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.simulated_phone import HttpTransport, Response, SimulatedPhone

Known = dict[tuple[str, str], Any]


def _ask(site: LiveSite, key: str, since: str, **more: int) -> Response:
    query = f"?{urlencode({'since': since} | more)}" if since or more else ""
    return HttpTransport(site.port, key)("GET", f"/api/v1/changes{query}", None, {})


def _follow(site: LiveSite, key: str, known: Known, since: str = "", **more: int) -> str:
    """Apply all there is, as the documentation tells a program to; where to go on from."""
    for _ in range(200):
        answer = _ask(site, key, since, **more)
        assert answer.status == 200, answer.body
        assert len(answer.body["changes"]) <= more.get("limit", queries.ROWS_FOR_PROGRAMS)
        for change in answer.body["changes"]:
            if change["deleted"]:
                known.pop((change["kind"], change["id"]), None)
            else:
                known[change["kind"], change["id"]] = change["row"]
        since = answer.body["next"]
        if not answer.body["more"]:
            return since
    raise AssertionError("the list does not end")


def test_a_program_ends_up_with_what_a_phone_has(live_site: LiveSite, shop: SyncShop, phone: SimulatedPhone) -> None:
    scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    known: Known = {}
    since = _follow(live_site, shop.owner_key, known)
    assert _ask(live_site, shop.owner_key, since).body == {"changes": [], "next": since, "more": False}
    gone, kept = a_customer(shop.owner, name="Goes"), a_customer(shop.owner, name="Stays")
    since = _follow(live_site, shop.owner_key, known, since)
    assert known["customer", str(gone)]["name"] == "Goes"
    with in_shop(shop.id):
        Customer.objects.filter(id=gone).delete()
    _follow(live_site, shop.owner_key, known, since)
    assert ("customer", str(gone)) not in known
    assert ("customer", str(kept)) in known
    phone.sync()
    kinds = invariants.TABLES
    of_phones = {(kind, row_id): row for (kind, row_id), row in known.items() if kind in kinds}
    assert of_phones == {(kind, row_id): row for kind in kinds for row_id, row in phone.rows(kind).items()}
    assert {kind for kind, _ in known.keys() - of_phones.keys()} == {"api_key", "audit_event", "device", "invitation"}


@pytest.mark.parametrize("role", ["owner", "mechanic"])
def test_the_list_has_what_the_lists_of_each_kind_have(
    live_site: LiveSite, shop: SyncShop, phone: SimulatedPhone, role: str
) -> None:
    """All that REST lists, for each role what it may read: after the first pages, and again after changes."""
    key = {"owner": shop.owner_key, "mechanic": shop.mechanic_key}[role]
    early: Known = {}
    since = _follow(live_site, key, early)
    scene = Scene(replace(shop.owner, device_id=UUID(phone.id)))
    for resource in all_resources():
        scene.the(resource.kind)
    _follow(live_site, key, early, since)
    late: Known = {}
    _follow(live_site, key, late)
    assert early == late
    refused = set()
    for resource in all_resources():
        if resource.reads is None:
            continue
        listed = _listed(live_site, key, resource.plural)
        if listed is None:
            refused.add(resource.kind)
        found = {row_id: row for (kind, row_id), row in late.items() if kind == resource.kind}
        if not resource.in_change_list:
            assert found == {}, resource.kind
            continue
        assert found == (listed or {}), resource.kind
    assert ("audit_event" in refused) == (role == "mechanic")
    assert {kind for kind, _ in late} >= ({"supplier_price", "audit_event"} if role == "owner" else {"supplier_price"})


def _listed(site: LiveSite, key: str, path: str) -> dict[str, Any] | None:
    """Every row of a list by its id; None where the key may not read it."""
    found: dict[str, Any] = {}
    cursor = ""
    while True:
        answer = HttpTransport(site.port, key)("GET", f"/api/v1/{path}?limit=200&cursor={cursor}", None, {})
        if answer.status == 403:
            return None
        assert answer.status == 200, answer.body
        found |= {row["id"]: row for row in answer.body["rows"]}
        if not answer.body["next"]:
            return found
        cursor = quote(answer.body["next"])


def test_a_large_commit_comes_in_pages_and_nothing_is_missed(live_site: LiveSite, shop: SyncShop) -> None:
    """1,200 rows of one commit, 100 at a time; rows of it that change or go meanwhile come as they are then."""
    known: Known = {}
    since = _follow(live_site, shop.owner_key, known)
    ids = [uuid7() for _ in range(1200)]
    with in_shop(shop.id):
        Customer.objects.bulk_create(Customer(id=row_id, shop_id=shop.id, name="Many") for row_id in ids)
    pages = 0
    while True:
        answer = _ask(live_site, shop.owner_key, since, limit=100)
        assert len(answer.body["changes"]) <= 100
        for change in answer.body["changes"]:
            known[change["kind"], change["id"]] = change["row"]
        since, pages = answer.body["next"], pages + 1
        if pages == 5:
            with in_shop(shop.id):
                Customer.objects.filter(id__in=[ids[0], ids[-1]]).update(name="Other")
                Customer.objects.filter(id__in=[ids[1], ids[-2]]).delete()
        if not answer.body["more"]:
            break
    assert pages >= 12
    names = {row_id: (known.get(("customer", str(row_id))) or {}).get("name") for row_id in ids}
    assert [row_id for row_id, name in names.items() if name is None] == [ids[1], ids[-2]]
    assert [row_id for row_id, name in names.items() if name == "Other"] == [ids[0], ids[-1]]


def test_nothing_is_missed_while_others_write(live_site: LiveSite, shop: SyncShop) -> None:
    """Four writers whose commits overlap, a reader of small pages: in the end it has every row."""
    known: Known = {}
    since = _follow(live_site, shop.owner_key, known)
    made: set[str] = set()

    def write(nth: int) -> None:
        try:
            for turn in range(10):
                with in_shop(shop.id):
                    rows = [Customer(id=uuid7(), shop_id=shop.id, name=f"W{nth}-{turn}") for _ in range(nth + 1)]
                    Customer.objects.bulk_create(rows)
                    time.sleep(0.005 * nth)
                made.update(str(row.id) for row in rows)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as pool:
        writing = [pool.submit(write, nth) for nth in range(4)]
        while not all(one.done() for one in writing):
            since = _follow(live_site, shop.owner_key, known, since, limit=3)
        for one in writing:
            one.result()
    _follow(live_site, shop.owner_key, known, since, limit=3)
    assert len(made) == 100
    assert {row_id for kind, row_id in known if kind == "customer"} == made


def test_a_phone_gets_nothing_of_what_is_for_programs(shop: SyncShop, phone: SimulatedPhone) -> None:
    Scene(shop.owner).the("supplier_price")
    phone.sync()
    assert {kind for kind, _ in phone.base} <= invariants.TABLES.keys()
    with in_shop(shop.id):
        record(shop.owner, "looked at", ("shop", shop.id))
    answer = phone.pull_once()
    assert (answer.status, answer.body["rows"], answer.body["gone"]) == (200, {}, [])
    assert phone.pull_once().status == 304


def test_what_is_removed_while_the_first_pages_are_read_is_removed_at_the_end(shop: SyncShop) -> None:
    ids = [uuid7() for _ in range(queries.SNAPSHOT_PAGE_ROWS + 5)]
    with in_shop(shop.id):
        Customer.objects.bulk_create(Customer(id=row_id, shop_id=shop.id, name="Many") for row_id in ids)
    with in_shop(shop.id):
        answers = [queries.list_changes(shop.owner, "")]
    since = answers[0].next
    with in_shop(shop.id):
        Customer.objects.filter(id=ids[0]).delete()
    with in_shop(shop.id):
        while answers[-1].more:
            answers.append(queries.list_changes(shop.owner, since))
            since = answers[-1].next
    assert len(answers) > 2
    last = {change.id: change.deleted for answer in answers for change in answer.changes}
    assert [last[row_id] for row_id in ids] == [True] + [False] * (len(ids) - 1)


@pytest.mark.parametrize("since", ["nonsense", "9.1.x.y", "all:nonsense:1.1.a.b", "in:nonsense:1.0..", "in:nonsense:x"])
def test_a_place_that_is_unknown_is_refused_with_the_way_out(live_site: LiveSite, shop: SyncShop, since: str) -> None:
    answer = _ask(live_site, shop.owner_key, since)
    assert answer.status in (409, 422)
    assert "without" in answer.body["detail"]


def test_nobody_without_a_key_is_told_what_changed(live_site: LiveSite) -> None:
    assert _ask(live_site, "unknown", "").status == 401


def test_a_change_of_what_the_key_may_see_starts_the_list_over(live_site: LiveSite, shop: SyncShop) -> None:
    since = _follow(live_site, shop.owner_key, {})
    answer = _ask(live_site, shop.mechanic_key, since)
    assert (answer.status, answer.body["code"]) == (409, "changes_start_over")
    assert answer.body["fields"][0]["field"] == "since"
    assert _follow(live_site, shop.mechanic_key, {})
