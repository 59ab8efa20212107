"""The protocol's invariants one by one, against a real server."""

import contextlib
import random
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest
from django.db import connections

from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import Role
from shopapi.accounts.services.devices import revoke_device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.feed import claim_commit_seq
from shopapi.core.schema import Target, parse
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.push import Envelope, Push
from shopapi.sync.services import push
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.execution import rerun_command
from shopapi.sync.services.push import PUSH_COMMANDS, push_commands
from tests.database import empty_database
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import ConnectionLost, HttpTransport, SimulatedPhone


def test_offline_visit_arrives_complete(shop: SyncShop, phone: SimulatedPhone) -> None:
    seen = scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    assert {entry.status for entry in phone.outbox} == {"applied"}, [e.outcome for e in phone.outbox]
    assert all(entry.acked for entry in phone.outbox)
    quote = phone.rows("quote")[seen.quote.id]
    assert (quote["state"], quote["totals"]["total_minor"]) == ("decided", seen.quote.total)
    (approval,) = phone.rows("approval").values()
    assert approval["matches"] is True
    assert approval["accepted_total_minor"] == scenario.accepted_total(seen.quote, 1)
    invariants.assert_server_invariants(shop.id)
    invariants.assert_equals_snapshot(phone)


# Exactly-once execution: I1 to I5


def twice(shop: SyncShop, make: Callable[[SyncShop], SimulatedPhone], how: Callable[[SimulatedPhone], None]) -> str:
    """The content hash after a visit is sent in the given way."""
    phone = make(shop)
    for nth in range(3):
        scenario.record_visit(phone, shop=SHOP, nth=nth)
    how(phone)
    phone.sync()
    invariants.assert_server_invariants(shop.id)
    return invariants.content_hash(shop.id, same_people=False)


def whole(phone: SimulatedPhone) -> None:
    phone.push_entries(phone.outbox)


def in_single_commands(phone: SimulatedPhone) -> None:
    phone.push(limit=1)


def whole_queue_repeatedly(phone: SimulatedPhone) -> None:
    for _ in range(3):
        assert phone.push_entries(phone.outbox).status == 200
    assert {entry.outcome["status"] for entry in phone.outbox if entry.outcome} == {"duplicate"}


def out_of_order(phone: SimulatedPhone) -> None:
    batches = [phone.outbox[n : n + 10] for n in range(0, len(phone.outbox), 10)]
    for batch in reversed(batches):
        answer = phone.push_entries(batch)
        assert (answer.status, answer.body.get("code")) in ((200, None), (409, "gap"))


def overlapping(phone: SimulatedPhone) -> None:
    for start in range(0, len(phone.outbox), 5):
        assert phone.push_entries(phone.outbox[max(start - 7, 0) : start + 5]).status == 200


def over_four_connections_at_once(phone: SimulatedPhone) -> None:
    with ThreadPoolExecutor(4) as pool:
        sent = [pool.submit(phone.push_entries, phone.outbox[:20]) for _ in range(4)]
        answers = [future.result() for future in sent]
    assert [answer.status for answer in answers] == [200] * 4
    firsts = [[(r["id"], r["first"] or r["status"], r["seq"]) for r in a.body["results"]] for a in answers]
    assert firsts == [firsts[0]] * 4


def test_repeated_split_and_reordered_pushes_give_the_same_content(
    live_site: LiveSite, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """I1: however a queue arrives, the database holds the same rows and outcomes."""
    ways = (whole, in_single_commands, whole_queue_repeatedly, out_of_order, overlapping, over_four_connections_at_once)
    hashes = {}
    for way in ways:
        # Ids are unique per installation, so each way gets an empty database.
        empty_database(connections["owner"])
        hashes[way.__name__] = twice(create_shop(), lambda shop: new_phone(shop.owner_key, seed=7), way)
    assert set(hashes.values()) == {hashes["whole"]}, hashes


def test_killed_server_leaves_chunks_whole_or_absent(
    live_site: LiveSite, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """I2: SIGKILL at random moments of a push of 42 commands, which is one chunk."""
    undisturbed = twice(create_shop(), lambda shop: new_phone(shop.owner_key, seed=9), whole)
    draw = random.Random(20)  # noqa: S311
    for _ in range(3):
        empty_database(connections["owner"])
        shop = create_shop()
        phone = new_phone(shop.owner_key, seed=9)
        for nth in range(3):
            scenario.record_visit(phone, shop=SHOP, nth=nth)
        pusher = threading.Thread(target=_push_ignoring_loss, args=(phone,))
        pusher.start()
        time.sleep(draw.uniform(0.02, 0.5))
        live_site.kill()
        pusher.join()
        ((count,),) = invariants.query("SELECT count(*) FROM sync_loggedcommand WHERE shop_id = %s", shop.id)
        assert count in (0, 42)
        invariants.assert_server_invariants(shop.id)
        live_site.start()
        phone.sync()
        assert invariants.content_hash(shop.id, same_people=False) == undisturbed


def _push_ignoring_loss(phone: SimulatedPhone) -> None:
    with contextlib.suppress(ConnectionLost):
        phone.push_entries(phone.outbox)


def test_lost_response_is_recovered_by_pushing_again(
    shop: SyncShop, proxy: FlakyProxy, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """The server committed but the response was lost: the repetition is answered from the log."""
    phone = new_phone(shop.owner_key)
    scenario.record_visit(phone, shop=SHOP)
    reached, phone.send = phone.send, HttpTransport(proxy.port, shop.owner_key, timeout=5)
    proxy.cut_after(20)
    with pytest.raises(ConnectionLost):
        phone.push_entries(phone.outbox)
    phone.send = reached
    _wait_for_log(shop, 14)
    assert phone.push_entries(phone.outbox).status == 200
    assert {(e.outcome["status"], e.outcome["first"]) for e in phone.outbox if e.outcome} == {("duplicate", "applied")}
    phone.pull()
    invariants.assert_server_invariants(shop.id)


def _wait_for_log(shop: SyncShop, count: int) -> None:
    for _ in range(100):
        if len(invariants.table_rows("sync_loggedcommand", shop.id)) == count:
            return
        time.sleep(0.05)
    raise AssertionError("the server has not committed")


def test_rejected_command_does_not_block_the_queue(shop: SyncShop, phone: SimulatedPhone) -> None:
    """I4: rejected intents are recorded with their errors and do not block what follows."""
    phone.write("add_customer", id=phone.new_id(), name="First")
    phone.write("add_customer", id=phone.new_id(), name="x" * 121)
    phone.write("add_customer", id=phone.new_id(), name="No such field", colour="red")
    phone.write("move_job", id=phone.new_id(), stage="repair")
    phone.write("brew_coffee", id=phone.new_id())
    phone.write("add_customer", id=phone.new_id(), name="Last")
    phone.sync()
    said = [(e.status, e.outcome["code"], [f["field"] for f in e.outcome["fields"]]) for e in phone.outbox if e.outcome]
    assert said == [
        ("applied", None, []),
        ("rejected", "invalid", ["name"]),
        ("rejected", "invalid", ["colour"]),
        ("held", "waits_for", ["id"]),
        ("held", "unknown_command", []),
        ("applied", None, []),
    ]
    assert sorted(row["name"] for row in phone.rows("customer").values()) == ["First", "Last"]
    invariants.assert_server_invariants(shop.id)


@pytest.mark.parametrize(
    "args",
    [
        {"name": "nul in a key", "\x00": 1},
        {"name": 10**400},
        {"name": {"deep": [[[[[[1]]]]]]}},
        {"name": "float", "tax_exempt": 0.1},
        {"name": ""},
        {"id": "not an id", "name": "a"},
        {"id": 5, "name": "a"},
    ],
    ids=["nul key", "huge", "deep", "float", "empty", "bad id", "number id"],
)
def test_malformed_arguments_do_not_block_the_queue(
    shop: SyncShop, phone: SimulatedPhone, args: dict[str, Any]
) -> None:
    """Whatever one command's arguments hold, it is rejected and the next one is applied."""
    phone.write("add_customer", **{"id": phone.new_id(), **args})
    phone.write("add_customer", id=phone.new_id(), name="Behind it")
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected", "applied"]
    invariants.assert_server_invariants(shop.id)


def test_unstorable_characters_are_replaced(shop: SyncShop, phone: SimulatedPhone) -> None:
    """NUL and half of a surrogate pair would otherwise fail the whole push each time."""
    phone.write("add_customer", id=phone.new_id(), name="nul \x00", notes="half \ud83d")
    phone.sync()
    phone.push_entries(phone.outbox)
    (row,) = phone.rows("customer").values()
    assert (row["name"], row["notes"]) == ("nul \ufffd", "half \ufffd")
    assert [entry.status for entry in phone.outbox] == ["applied"]


def test_internal_error_holds_one_command(
    shop: SyncShop, phone: SimulatedPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    """I4, scenario 7: a service that breaks holds its command as internal; the rest of the chunk is applied."""

    def broken(*, actor: Actor, data: Any) -> None:
        Customer.objects.create(id=data.id, shop_id=actor.shop_id, name="Half done")
        raise KeyError(data.label)

    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    phone.write("add_site", id=phone.new_id(), customer_id=customer_id, label="Barn")
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Behind it"})
    monkeypatch.setitem(COMMANDS, "add_site", replace(COMMANDS["add_site"], service=broken))
    monkeypatch.setitem(PUSH_COMMANDS, "add_site", COMMANDS["add_site"])
    data = parse(
        Push,
        {
            "device": phone.id,
            "sent_wall": scenario.TODAY.isoformat(),
            "commands": [entry.to_body() for entry in phone.outbox],
        },
    )
    pushed = push_commands(actor=shop.owner, data=data)
    assert [(r.status, r.code) for r in pushed.results] == [("applied", None), ("held", "internal"), ("applied", None)]
    assert [row["notes"] for row in invariants.table_rows("customers_customer", shop.id)] == ["Behind it"]
    monkeypatch.undo()
    with in_shop(shop.id):
        held = LoggedCommand.objects.get(code="internal")
        assert rerun_command(held, claim_commit_seq(shop.id)).status == "applied"
    assert [row["label"] for row in invariants.table_rows("customers_site", shop.id)] == ["Barn"]
    invariants.assert_server_invariants(shop.id)


def test_fact_is_applied_or_held(shop: SyncShop, phone: SimulatedPhone) -> None:
    """I15: a fact is never rejected: one that cannot be applied is held and opens an issue."""
    phone.write("record_meter", id=phone.new_id(), machine_id=phone.new_id(), hours="-4", read_on="2026-01-01")
    phone.write("record_finding", id=phone.new_id(), job_id=phone.new_id(), words="Loose belt", rank="grave")
    phone.write("add_complaint", id=phone.new_id(), job_id=phone.new_id(), words="")
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["held"] * 3
    issues = phone.rows("issue").values()
    assert {issue["command_id"] for issue in issues} == {entry.id for entry in phone.outbox}
    assert {(issue["kind"], issue["state"]) for issue in issues} == {("held", "open")}
    invariants.assert_server_invariants(shop.id)


# Numbers and identities


def test_gap_error_names_the_expected_number(shop: SyncShop, phone: SimulatedPhone) -> None:
    entries = [phone.write("add_customer", id=phone.new_id(), name=f"C{n}") for n in range(4)]
    answer = phone.push_entries(entries[2:])
    assert (answer.status, answer.body["code"], answer.body["expect"]) == (409, "gap", 1)
    phone.push_entries(entries[:1])
    answer = phone.push_entries(entries[2:])
    assert (answer.status, answer.body["expect"]) == (409, 2)
    phone.sync()
    assert len(phone.rows("customer")) == 4
    invariants.assert_server_invariants(shop.id)


def test_cloned_phone_reregisters_without_loss(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """Two phones with one device id: the second to use a number continues as a new device."""
    shared = phone.write("add_customer", id=phone.new_id(), name="Shared")
    copy = SimulatedPhone(phone.send, random.Random(99), phone.id, phone.letter, phone.next_no)  # noqa: S311
    copy.outbox = [replace(shared)]
    phone.write("add_customer", id=phone.new_id(), name="Mine")
    copy.write("add_customer", id=copy.new_id(), name="The copy's")
    phone.sync()
    copy.sync()
    phone.sync()
    assert copy.former_device_ids == [phone.id]
    assert sorted(row["name"] for row in phone.rows("customer").values()) == ["Mine", "Shared", "The copy's"]
    assert phone.base == copy.base
    invariants.assert_server_invariants(shop.id)


def test_same_id_with_other_arguments_is_a_fork(shop: SyncShop, phone: SimulatedPhone) -> None:
    entry = phone.write("add_customer", id=phone.new_id(), name="One")
    phone.sync()
    changed = replace(entry, args={**entry.args, "name": "Two"})
    answer = phone.push_entries([changed])
    assert (answer.status, answer.body["code"]) == (409, "fork")
    assert [row["name"] for row in invariants.table_rows("customers_customer", shop.id)] == ["One"]


def test_dependent_commands_are_held_and_run_in_order(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 47: correcting the first command releases all that depend on it."""
    customer_id, machine_id, job_id = (phone.new_id() for _ in range(3))
    phone.write("add_customer", id=customer_id, name="x" * 121)
    phone.write("add_machine", id=machine_id, customer_id=customer_id, kind="mower")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id)
    drawn = scenario.start_quote(phone, job_id, customer="Corrected", machine="mower")
    scenario.add_line(phone, drawn, 1234)
    scenario.offer_quote(phone, drawn, shop=SHOP)
    scenario.decide_quote(phone, drawn, 1)
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected"] + ["held"] * 6
    assert {entry.outcome["code"] for entry in phone.outbox[1:] if entry.outcome} == {"waits_for"}
    assert not phone.rows("issue")
    phone.write("add_customer", id=customer_id, name="Corrected")
    phone.sync()
    for entry in phone.outbox:
        entry.outcome = phone.call("GET", f"sync/commands/{entry.id}").body
    assert [entry.status for entry in phone.outbox] == ["rejected"] + ["applied"] * 7
    assert phone.rows("quote")[drawn.id]["state"] == "decided"
    assert next(iter(phone.rows("approval").values()))["accepted_total_minor"] == drawn.total
    invariants.assert_server_invariants(shop.id)


def test_commands_of_a_revoked_device_are_held(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """Scenario 32: they are kept for the owner; phones of the shop, the same member's too, work on without them."""
    lost, spare = new_phone(shop.mechanic_key, seed=2), new_phone(shop.mechanic_key, seed=3)
    lost.sync()
    spare.write("add_customer", id=spare.new_id(), name="Written on the spare phone")
    spare.sync()
    lost.write("add_customer", id=lost.new_id(), name="Written on the lost phone")
    revoke_device(actor=shop.owner, data=Target(id=UUID(lost.id)))
    lost.sync()
    assert lost.retired
    assert lost.call("GET", f"sync/pull?device={lost.id}&cursor={lost.cursor}").status == 410
    assert lost.call("GET", f"sync/snapshot?device={lost.id}").status == 410
    (logged,) = (row for row in invariants.table_rows("sync_loggedcommand", shop.id) if row["device_id"] == lost.id)
    assert (logged["status"], logged["code"]) == ("held", "device_retired")
    spare.write("add_customer", id=spare.new_id(), name="Written afterwards")
    for other in (spare, phone):
        other.sync()
        assert {row["name"] for row in other.rows("customer").values()} == {
            "Written on the spare phone",
            "Written afterwards",
        }
        assert {entry.status for entry in other.outbox} <= {"applied"}
    # The owner sees what the lost phone still held, and may apply it.
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["name"], issue["ours"]["name"]) == (
        "held",
        "add_customer",
        "Written on the lost phone",
    )
    phone.write("settle_issue", id=issue["id"], choice="ours")
    phone.sync()
    for other in (phone, spare):
        other.sync()
        assert "Written on the lost phone" in {row["name"] for row in other.rows("customer").values()}
        assert [row["state"] for row in other.rows("issue").values()] == ["resolved"]
        invariants.assert_equals_snapshot(other)
    invariants.assert_server_invariants(shop.id)


def test_held_commands_of_a_revoked_device_are_capped(
    shop: SyncShop, new_phone: Callable[..., SimulatedPhone], monkeypatch: pytest.MonkeyPatch
) -> None:
    lost = new_phone(shop.mechanic_key, seed=2)
    lost.sync()
    for count in range(5):
        lost.write("add_customer", id=lost.new_id(), name=f"Customer {count}")
    revoke_device(actor=shop.owner, data=Target(id=UUID(lost.id)))
    monkeypatch.setattr(push, "MAX_HELD_OF_RETIRED", 3)
    sent = [parse(Envelope, entry.to_body()) for entry in lost.outbox]
    actor = actor_of(shop.id, shop.mechanic_id, Role.MECHANIC, may_see_cost=False)
    for _ in range(2):
        pushed = push_commands(actor=actor, data=Push(device=UUID(lost.id), sent_wall=now(), commands=sent))
        assert (pushed.retired, pushed.next_no) == (True, 4)
    assert len(invariants.table_rows("sync_loggedcommand", shop.id)) == 3
