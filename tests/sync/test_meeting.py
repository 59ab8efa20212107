"""Where two meet: phones with one row, REST with push, one shop with another, a signature with a quote."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections

from tests.database import empty_database
from tests.site import LiveSite
from tests.sync import story, truth
from tests.sync.conftest import SHOP, House, open_house
from tests.sync.phone import Phone
from tests.sync.ways import PATHS

Make = Callable[..., Phone]


@pytest.fixture
def other(house: House, phone_of: Make) -> Phone:
    return phone_of(house.owner_key, seed=2)


def edit(phone: Phone, customer_id: str, /, **wanted: Any) -> None:
    seen = phone.rows("customer")[customer_id]
    phone.write("edit_customer", id=customer_id, base={key: seen[key] for key in wanted}, set=wanted)


# Two phones


def test_different_fields_merge_without_an_issue(house: House, phone: Phone, other: Phone) -> None:
    customer_id = story.fresh(phone, "add_customer", name="Ada")
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
def test_the_same_field_waits_for_a_person(house: House, phone: Phone, other: Phone, choice: str, stands: str) -> None:
    customer_id = story.fresh(phone, "add_customer", name="Ada")
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
    truth.assert_sound(house.id)


def test_removing_against_editing_brings_nothing_back(house: House, phone: Phone, other: Phone) -> None:
    first, second = (story.fresh(phone, "add_customer", name=name) for name in ("A", "B"))
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
    truth.assert_sound(house.id)


# Signatures


def test_ink_under_another_text_is_kept_and_changes_nothing(house: House, phone: Phone) -> None:
    """I14, scenario 22: a digest that is not the offer's is evidence, an issue, and no approval."""
    seen = story.visit(phone, shop=SHOP)
    phone.outbox.pop()
    phone.next_no -= 1
    tampered = story.decide(phone, seen.quote, 2, shown="0" * 64)
    phone.sync()
    assert (tampered.status, tampered.outcome and tampered.outcome["code"]) == ("held", "doubted")
    (approval,) = phone.rows("approval").values()
    assert (approval["matches"], approval["accepted_total_minor"]) == (False, None)
    assert approval["signature_id"] in phone.rows("signature")
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["entity_id"]) == ("held", seen.quote.id)
    assert phone.rows("quote")[seen.quote.id]["state"] == "offered"
    right = story.decide(phone, seen.quote, 2)
    phone.sync()
    assert right.status == "applied"
    assert phone.rows("quote")[seen.quote.id]["state"] == "decided"
    truth.assert_sound(house.id)


def test_ink_under_a_replaced_revision_is_kept(house: House, phone: Phone, other: Phone) -> None:
    """Scenario 21: signed offline on revision 1 while revision 2 goes out."""
    seen = story.visit(phone, shop=SHOP)
    phone.outbox.pop()
    phone.next_no -= 1
    phone.sync()
    other.sync()
    story.decide(other, seen.quote, 2)
    newer = story.begin_quote(phone, seen.job_id, customer="Customer 0", machine="garden tractor", replaces=seen.quote)
    story.put_line(phone, newer, 9900)
    story.offer(phone, newer, shop=SHOP)
    for one in (phone, other, phone):
        one.sync()
    assert [entry.status for entry in other.outbox] == ["held"]
    quotes = phone.rows("quote")
    assert (quotes[seen.quote.id]["state"], quotes[newer.id]["state"]) == ("replaced", "offered")
    assert quotes[newer.id]["number"] == quotes[seen.quote.id]["number"]
    (approval,) = phone.rows("approval").values()
    assert (approval["quote_id"], approval["matches"]) == (seen.quote.id, False)
    assert phone.base | other.base == phone.base
    truth.assert_sound(house.id)


def test_an_offer_that_was_shown_otherwise_is_refused(house: House, phone: Phone) -> None:
    seen = story.visit(phone, shop=SHOP)
    offered = next(entry for entry in phone.outbox if entry.name == "offer_quote")
    offered.args["total_minor"] += 1
    phone.sync()
    assert (offered.status, offered.outcome and offered.outcome["code"]) == ("rejected", "shown_differs")
    assert phone.rows("quote")[seen.quote.id]["state"] == "draft"
    assert [entry.status for entry in phone.outbox if entry.name == "decide_quote"] == ["held"]
    truth.assert_sound(house.id)


# REST and push


def by_rest(phone: Phone) -> list[tuple[bool, str | None, list[dict[str, str]]]]:
    """Carry the queue out over REST; returns what became of each command."""
    said = []
    for entry in phone.outbox:
        path = PATHS[entry.name].format(**entry.args)
        answer = phone.call("POST", path, entry.args, **{"Idempotency-Key": entry.id})
        again = phone.call("POST", path, entry.args, **{"Idempotency-Key": entry.id})
        assert (again.status, again.body) == (answer.status, answer.body), entry
        well = answer.status < 300
        said.append((well, None if well else answer.body["code"], [] if well else answer.body["fields"]))
    return said


def by_push(phone: Phone) -> list[tuple[bool, str | None, list[dict[str, str]]]]:
    phone.push()
    outcomes = [entry.outcome for entry in phone.outbox if entry.outcome]
    return [(o["status"] == "applied", o["code"], o["fields"]) for o in outcomes]


def write_right_and_wrong(phone: Phone) -> None:
    seen = story.visit(phone, shop=SHOP)
    phone.write("add_customer", id=seen.customer_id, name="The same id")
    phone.write("add_customer", id=phone.mint(), name="", colour="red")
    phone.write("add_machine", id=phone.mint(), customer_id=phone.mint(), kind="mower")
    phone.write("move_job", id=seen.job_id, stage="closed")
    phone.write("edit_job", id=seen.job_id, base={}, set={"notes": "no base"})
    phone.write("edit_job", id=seen.job_id, base={"site_id": seen.site_id}, set={"site_id": "no id"})
    phone.write("put_quote_line", **story.part(seen.quote.id, phone.mint(), 3, 5))
    phone.write("offer_quote", id=phone.mint(), valid_until="2026-01-01", digest="0" * 64, total_minor=0)


def rows_of(phone: Phone) -> dict[Any, dict[str, Any]]:
    phone.snapshot()
    minted = {"created_at", "changed_at", "opened_at", "offered_at", "received_at", "device_id"}
    people = {"member_id", "found_by_id", "taken_by_id", "noted_by_id"}
    kept = {key: row for key, row in phone.base.items() if key[0] not in ("shop", "member", "issue")}
    return {key: {k: v for k, v in row.items() if k not in minted | people} for key, row in kept.items()}


def test_rest_and_push_make_the_same_rows_and_the_same_refusals(live_site: LiveSite, phone_of: Make) -> None:
    """I6, with each REST call made twice under its key."""
    came = []
    for how in (by_rest, by_push):
        empty_database(connections["owner"])
        phone = phone_of(open_house().owner_key, seed=4)
        write_right_and_wrong(phone)
        came.append((how(phone), rows_of(phone)))
    assert came[0] == came[1]
    assert [well for well, *_ in came[0][0]] == [True] * 14 + [False] * 8


# Two shops


def test_rows_of_another_shop_are_as_unknown_as_none(house: House, phone: Phone, phone_of: Make) -> None:
    """I12: by push and by REST, the other shop's ids get the very answer that ids of nothing get."""
    seen = story.visit(phone, shop=SHOP)
    phone.sync()
    held = truth.content(house.id)
    stranger_house = open_house()
    stranger = phone_of(stranger_house.owner_key, seed=8)
    stranger.sync()
    real = {"customer": seen.customer_id, "machine": seen.machine_id, "job": seen.job_id, "quote": seen.quote.id}
    nothing = {kind: stranger.mint() for kind in real}
    said = {}
    for name, ids in (("foreign", real), ("unknown", nothing)):
        entries = [
            stranger.write("edit_customer", id=ids["customer"], base={"name": "A"}, set={"name": "B"}),
            stranger.write("remove_customer", id=ids["customer"]),
            stranger.write("add_site", id=stranger.mint(), customer_id=ids["customer"], label="L"),
            stranger.write("open_job", id=stranger.mint(), customer_id=ids["customer"], machine_id=ids["machine"]),
            stranger.write("move_job", id=ids["job"], stage="repair"),
            stranger.write("put_quote_line", **story.part(ids["quote"], stranger.mint(), 1, 100)),
            stranger.write("withdraw_quote", id=ids["quote"]),
        ]
        stranger.sync()
        told = [{k: v for k, v in (e.outcome or {}).items() if k not in ("id", "no")} for e in entries]
        reads = [_read(stranger, f"{kind}s/{row_id}") for kind, row_id in ids.items()]
        said[name] = (told, reads)
    assert said["foreign"] == said["unknown"]
    assert {outcome["code"] for outcome in said["foreign"][0]} == {"not_found"}
    assert _read(stranger, f"sync/commands/{phone.outbox[0].id}") == _read(stranger, f"sync/commands/{stranger.mint()}")
    own = stranger.id
    stranger.id = phone.id
    borrowed = stranger.pull_once()
    stranger.id = stranger.mint()
    assert (borrowed.status, borrowed.body["detail"]) == (404, stranger.pull_once().body["detail"])
    stranger.id, stranger.cursor = own, phone.cursor
    assert stranger.pull_once().body["resync"] in ("fork", "horizon", "view")
    assert {kind for kind, _ in stranger.base} == {"shop", "member"}
    assert truth.content(house.id) == held
    truth.assert_sound(house.id)
    truth.assert_sound(stranger_house.id)


def _read(phone: Phone, path: str) -> tuple[int, Any]:
    answer = phone.call("GET", path)
    return answer.status, {k: v for k, v in answer.body.items() if k != "trace"}


def test_an_id_that_another_shop_has_used_is_refused_and_moves_nothing(
    house: House, phone: Phone, phone_of: Make
) -> None:
    customer_id = story.fresh(phone, "add_customer", name="Ours")
    machine_id = story.fresh(phone, "add_machine", customer_id=customer_id, kind="tiller")
    reading_id = story.fresh(phone, "record_meter", machine_id=machine_id, hours="3", read_on="2026-05-01")
    phone.sync()
    squatter = phone_of(open_house().owner_key, seed=8)
    squatter.write("add_customer", id=customer_id, name="Squatter")
    squatter.sync()
    assert [entry.status for entry in squatter.outbox] == ["rejected"]
    assert [row["name"] for row in truth.table("customers_customer", house.id)] == ["Ours"]
    # A fact is kept all the same, and somebody is told.
    theirs = story.fresh(squatter, "add_customer", name="Theirs")
    machine = story.fresh(squatter, "add_machine", customer_id=theirs, kind="tiller")
    squatter.write("record_meter", id=reading_id, machine_id=machine, hours="7", read_on="2026-05-01")
    squatter.sync()
    assert squatter.outbox[-1].status == "held"
    assert [issue["ours"]["hours"] for issue in squatter.rows("issue").values()] == ["7"]
    borrowed = squatter.write("add_customer", id=squatter.mint(), name="Under a known command id")
    borrowed.id = phone.outbox[0].id
    refused = squatter.push_raw([borrowed])
    assert (refused.status, refused.body["code"]) == (409, "id_taken")
    squatter.pull()
    assert list(squatter.rows("customer")) == [theirs]
    truth.assert_sound(house.id)
