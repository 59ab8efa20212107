"""Conflicts: two phones and one row, REST and push, two shops, a signature and a revised quote."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections

from tests.database import empty_database
from tests.factories.examples import rest_path
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import SimulatedPhone

NewPhone = Callable[..., SimulatedPhone]


@pytest.fixture
def other(shop: SyncShop, new_phone: NewPhone) -> SimulatedPhone:
    return new_phone(shop.owner_key, seed=2)


def edit(phone: SimulatedPhone, customer_id: str, /, **wanted: Any) -> None:
    seen = phone.rows("customer")[customer_id]
    phone.write("edit_customer", id=customer_id, base={key: seen[key] for key in wanted}, set=wanted)


# Two phones


def test_different_fields_merge_without_an_issue(shop: SyncShop, phone: SimulatedPhone, other: SimulatedPhone) -> None:
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    phone.sync()
    other.sync()
    edit(phone, customer_id, phone="1", notes="gate left")
    edit(other, customer_id, email="a@b.example")
    for one in (phone, other, phone):
        one.sync()
    row = phone.rows("customer")[customer_id]
    assert (row["phone"], row["notes"], row["email"]) == ("1", "gate left", "a@b.example")
    assert not phone.rows("issue")
    assert phone.base == other.base


@pytest.mark.parametrize(("choice", "stands"), [("theirs", "first"), ("ours", "second")])
def test_same_field_conflict_opens_an_issue(
    shop: SyncShop, phone: SimulatedPhone, other: SimulatedPhone, choice: str, stands: str
) -> None:
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    phone.sync()
    other.sync()
    edit(phone, customer_id, notes="first", phone="1")
    edit(other, customer_id, notes="second", email="kept@b.example")
    for one in (phone, other, phone):
        one.sync()
    row = phone.rows("customer")[customer_id]
    assert (row["notes"], row["phone"], row["email"]) == ("first", "1", "kept@b.example")
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["state"]) == ("conflict", "open")
    assert (issue["theirs"], issue["ours"]) == ({"notes": "first"}, {"notes": "second"})
    phone.write("settle_issue", id=issue["id"], choice=choice)
    for one in (phone, other, phone):
        one.sync()
    assert [entry.status for entry in phone.outbox][-1] == "applied"
    for one in (phone, other):
        assert one.rows("customer")[customer_id]["notes"] == stands
        assert [found["state"] for found in one.rows("issue").values()] == ["resolved"]
    assert phone.base == other.base
    invariants.assert_server_invariants(shop.id)


def test_edit_after_removal_does_not_restore_the_row(
    shop: SyncShop, phone: SimulatedPhone, other: SimulatedPhone
) -> None:
    first, second = (scenario.create_row(phone, "add_customer", name=name) for name in ("A", "B"))
    phone.sync()
    other.sync()
    phone.write("remove_customer", id=first)
    edit(other, first, notes="too late")
    edit(other, second, notes="in time")
    phone.write("remove_customer", id=second)
    for one in (phone, other, phone):
        one.sync()
    assert [entry.status for entry in other.outbox] == ["rejected", "rejected"]
    assert phone.rows("customer") == other.rows("customer") == {}
    invariants.assert_server_invariants(shop.id)


# Signatures


def test_signature_with_another_digest_is_stored_and_approves_nothing(shop: SyncShop, phone: SimulatedPhone) -> None:
    """I14, scenario 22: a signature on another digest is stored as evidence, opens an issue and approves nothing."""
    seen = scenario.record_visit(phone, shop=SHOP)
    phone.outbox.pop()
    phone.next_no -= 1
    tampered = scenario.decide_quote(phone, seen.quote, 2, shown="0" * 64)
    phone.sync()
    assert (tampered.status, tampered.outcome and tampered.outcome["code"]) == ("held", "needs_review")
    (approval,) = phone.rows("approval").values()
    assert (approval["matches"], approval["accepted_total_minor"]) == (False, None)
    assert approval["signature_id"] in phone.rows("signature")
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["entity_id"]) == ("held", seen.quote.id)
    assert phone.rows("quote")[seen.quote.id]["state"] == "offered"
    right = scenario.decide_quote(phone, seen.quote, 2)
    phone.sync()
    assert right.status == "applied"
    assert phone.rows("quote")[seen.quote.id]["state"] == "decided"
    invariants.assert_server_invariants(shop.id)


def test_signature_on_a_replaced_revision_is_stored(
    shop: SyncShop, phone: SimulatedPhone, other: SimulatedPhone
) -> None:
    """Scenario 21: signed offline on revision 1 while revision 2 is offered."""
    seen = scenario.record_visit(phone, shop=SHOP)
    phone.outbox.pop()
    phone.next_no -= 1
    phone.sync()
    other.sync()
    scenario.decide_quote(other, seen.quote, 2)
    newer = scenario.start_quote(
        phone, seen.job_id, customer="Customer 0", machine="garden tractor", replaces=seen.quote
    )
    scenario.add_line(phone, newer, 9900)
    scenario.offer_quote(phone, newer, shop=SHOP)
    for one in (phone, other, phone):
        one.sync()
    assert [entry.status for entry in other.outbox] == ["held"]
    quotes = phone.rows("quote")
    assert (quotes[seen.quote.id]["state"], quotes[newer.id]["state"]) == ("replaced", "offered")
    assert quotes[newer.id]["number"] == quotes[seen.quote.id]["number"]
    (approval,) = phone.rows("approval").values()
    assert (approval["quote_id"], approval["matches"]) == (seen.quote.id, False)
    assert phone.base | other.base == phone.base
    invariants.assert_server_invariants(shop.id)


def test_offer_with_differing_shown_text_is_rejected(shop: SyncShop, phone: SimulatedPhone) -> None:
    seen = scenario.record_visit(phone, shop=SHOP)
    offered = next(entry for entry in phone.outbox if entry.name == "offer_quote")
    offered.args["total_minor"] += 1
    phone.sync()
    assert (offered.status, offered.outcome and offered.outcome["code"]) == ("rejected", "shown_differs")
    assert phone.rows("quote")[seen.quote.id]["state"] == "draft"
    assert [entry.status for entry in phone.outbox if entry.name == "decide_quote"] == ["held"]
    invariants.assert_server_invariants(shop.id)


# REST and push


def by_rest(phone: SimulatedPhone) -> list[tuple[bool, str | None, list[dict[str, str]]]]:
    """Send the queue over REST; returns the outcome of each command."""
    said = []
    for entry in phone.outbox:
        path = rest_path(entry.name, entry.args["id"])
        assert path is not None
        answer = phone.call("POST", path, entry.args, **{"Idempotency-Key": entry.id})
        again = phone.call("POST", path, entry.args, **{"Idempotency-Key": entry.id})
        assert (again.status, again.body) == (answer.status, answer.body), entry
        well = answer.status < 300
        said.append((well, None if well else answer.body["code"], [] if well else answer.body["fields"]))
    return said


def by_push(phone: SimulatedPhone) -> list[tuple[bool, str | None, list[dict[str, str]]]]:
    phone.push()
    outcomes = [entry.outcome for entry in phone.outbox if entry.outcome]
    # A push waits for an unknown row; REST answers 404 at once.
    codes = ["not_found" if o["code"] == "waits_for" else o["code"] for o in outcomes]
    return [(o["status"] == "applied", code, o["fields"]) for o, code in zip(outcomes, codes, strict=True)]


def write_right_and_wrong(phone: SimulatedPhone) -> None:
    seen = scenario.record_visit(phone, shop=SHOP)
    phone.write("add_customer", id=seen.customer_id, name="The same id")
    phone.write("add_customer", id=phone.new_id(), name="", colour="red")
    phone.write("add_machine", id=phone.new_id(), customer_id=phone.new_id(), kind="mower")
    phone.write("move_job", id=seen.job_id, stage="closed")
    phone.write("edit_job", id=seen.job_id, base={}, set={"notes": "no base"})
    phone.write("edit_job", id=seen.job_id, base={"site_id": seen.site_id}, set={"site_id": "no id"})
    phone.write("put_quote_line", **scenario.part_line(seen.quote.id, phone.new_id(), 3, 5))
    phone.write("offer_quote", id=phone.new_id(), valid_until="2026-01-01", digest="0" * 64, total_minor=0)


def rows_of(phone: SimulatedPhone) -> dict[Any, dict[str, Any]]:
    phone.snapshot()
    minted = {"created_at", "changed_at", "opened_at", "offered_at", "received_at", "device_id"}
    people = {"member_id", "found_by_id", "taken_by_id", "noted_by_id"}
    kept = {
        key: row
        for key, row in phone.base.items()
        if key[0] not in ("shop", "price_book", "billing_settings", "member", "issue")
    }
    return {key: {k: v for k, v in row.items() if k not in minted | people} for key, row in kept.items()}


def test_rest_and_push_give_equal_rows_and_refusals(live_site: LiveSite, new_phone: NewPhone) -> None:
    """I6, with each REST call made twice under its idempotency key."""
    came = []
    for how in (by_rest, by_push):
        empty_database(connections["owner"])
        phone = new_phone(create_shop().owner_key, seed=4)
        write_right_and_wrong(phone)
        came.append((how(phone), rows_of(phone)))
    assert came[0] == came[1]
    assert [well for well, *_ in came[0][0]] == [True] * 14 + [False] * 8


# Two shops


def test_ids_of_another_shop_are_not_found(shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone) -> None:
    """I12: by push and by REST, ids of another shop get the same answer as ids that do not exist."""
    seen = scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    held = invariants.content_hash(shop.id)
    stranger_shop = create_shop()
    stranger = new_phone(stranger_shop.owner_key, seed=8)
    stranger.sync()
    real = {"customer": seen.customer_id, "machine": seen.machine_id, "job": seen.job_id, "quote": seen.quote.id}
    nothing = {kind: stranger.new_id() for kind in real}
    said = {}
    for name, ids in (("foreign", real), ("unknown", nothing)):
        entries = [
            stranger.write("edit_customer", id=ids["customer"], base={"name": "A"}, set={"name": "B"}),
            stranger.write("remove_customer", id=ids["customer"]),
            stranger.write("add_site", id=stranger.new_id(), customer_id=ids["customer"], label="L"),
            stranger.write("open_job", id=stranger.new_id(), customer_id=ids["customer"], machine_id=ids["machine"]),
            stranger.write("move_job", id=ids["job"], stage="repair"),
            stranger.write("put_quote_line", **scenario.part_line(ids["quote"], stranger.new_id(), 1, 100)),
            stranger.write("withdraw_quote", id=ids["quote"]),
        ]
        stranger.sync()
        # The seal covers the command's own id.
        outcomes = [{k: v for k, v in (e.outcome or {}).items() if k not in ("id", "no", "seal")} for e in entries]
        reads = [_read(stranger, f"{kind}s/{row_id}") for kind, row_id in ids.items()]
        said[name] = (outcomes, reads)
    assert said["foreign"] == said["unknown"]
    assert {outcome["code"] for outcome in said["foreign"][0]} == {"waits_for"}
    assert _read(stranger, f"sync/commands/{phone.outbox[0].id}") == _read(
        stranger, f"sync/commands/{stranger.new_id()}"
    )
    own = stranger.id
    stranger.id = phone.id
    borrowed = stranger.pull_once()
    stranger.id = stranger.new_id()
    assert (borrowed.status, borrowed.body["detail"]) == (404, stranger.pull_once().body["detail"])
    stranger.id, stranger.cursor = own, phone.cursor
    assert stranger.pull_once().body["resync"] in ("fork", "horizon", "view")
    assert {kind for kind, _ in stranger.base} == {"shop", "price_book", "billing_settings", "member"}
    assert invariants.content_hash(shop.id) == held
    invariants.assert_server_invariants(shop.id)
    invariants.assert_server_invariants(stranger_shop.id)


def _read(phone: SimulatedPhone, path: str) -> tuple[int, Any]:
    answer = phone.call("GET", path)
    return answer.status, {k: v for k, v in answer.body.items() if k != "trace"}


def test_id_used_by_another_shop_is_rejected_without_effect(
    shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone
) -> None:
    customer_id = scenario.create_row(phone, "add_customer", name="Ours")
    machine_id = scenario.create_row(phone, "add_machine", customer_id=customer_id, kind="tiller")
    reading_id = scenario.create_row(phone, "record_meter", machine_id=machine_id, hours="3", read_on="2026-05-01")
    phone.sync()
    squatter = new_phone(create_shop().owner_key, seed=8)
    squatter.write("add_customer", id=customer_id, name="Squatter")
    squatter.sync()
    assert [entry.status for entry in squatter.outbox] == ["rejected"]
    assert [row["name"] for row in invariants.table_rows("customers_customer", shop.id)] == ["Ours"]
    # A fact is held all the same and opens an issue.
    theirs = scenario.create_row(squatter, "add_customer", name="Theirs")
    machine = scenario.create_row(squatter, "add_machine", customer_id=theirs, kind="tiller")
    squatter.write("record_meter", id=reading_id, machine_id=machine, hours="7", read_on="2026-05-01")
    squatter.sync()
    assert squatter.outbox[-1].status == "held"
    assert [issue["ours"]["hours"] for issue in squatter.rows("issue").values()] == ["7"]
    borrowed = squatter.write("add_customer", id=squatter.new_id(), name="Under a known command id")
    borrowed.id = phone.outbox[0].id
    refused = squatter.push_entries([borrowed])
    assert (refused.status, refused.body["code"]) == (409, "id_taken")
    squatter.pull()
    assert list(squatter.rows("customer")) == [theirs]
    invariants.assert_server_invariants(shop.id)
