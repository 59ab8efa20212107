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
from shopapi.accounts.services import revoke_device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.feed import take_number
from shopapi.core.shape import Target, decode
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules import Envelope, Push
from shopapi.sync.services import pushing
from shopapi.sync.services.carrying import rerun
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.pushing import KNOWN, push_commands
from tests.database import empty_database
from tests.line import Line
from tests.site import LiveSite
from tests.sync import story, truth
from tests.sync.conftest import SHOP, House, open_house
from tests.sync.phone import NoAnswer, Phone, Wire


def test_a_visit_without_signal_arrives_whole(house: House, phone: Phone) -> None:
    seen = story.visit(phone, shop=SHOP)
    phone.sync()
    assert {entry.status for entry in phone.outbox} == {"applied"}, [e.outcome for e in phone.outbox]
    assert all(entry.acked for entry in phone.outbox)
    quote = phone.rows("quote")[seen.quote.id]
    assert (quote["state"], quote["totals"]["total_minor"]) == ("decided", seen.quote.total)
    (approval,) = phone.rows("approval").values()
    assert approval["matches"] is True
    assert approval["accepted_total_minor"] == story.total_of(seen.quote, 1)
    truth.assert_sound(house.id)
    truth.assert_shows_everything(phone)


# One execution: I1 to I5


def twice(house: House, make: Callable[[House], Phone], how: Callable[[Phone], None]) -> str:
    """The hash of what a visit comes to when it is sent in some way."""
    phone = make(house)
    for nth in range(3):
        story.visit(phone, shop=SHOP, nth=nth)
    how(phone)
    phone.sync()
    truth.assert_sound(house.id)
    return truth.content(house.id, same_people=False)


def whole(phone: Phone) -> None:
    phone.push_raw(phone.outbox)


def in_crumbs(phone: Phone) -> None:
    phone.push(most=1)


def all_of_it_again_and_again(phone: Phone) -> None:
    for _ in range(3):
        assert phone.push_raw(phone.outbox).status == 200
    assert {entry.outcome["status"] for entry in phone.outbox if entry.outcome} == {"duplicate"}


def out_of_order(phone: Phone) -> None:
    batches = [phone.outbox[n : n + 10] for n in range(0, len(phone.outbox), 10)]
    for batch in reversed(batches):
        answer = phone.push_raw(batch)
        assert (answer.status, answer.body.get("code")) in ((200, None), (409, "gap"))


def overlapping(phone: Phone) -> None:
    for start in range(0, len(phone.outbox), 5):
        assert phone.push_raw(phone.outbox[max(start - 7, 0) : start + 5]).status == 200


def by_four_lines_at_once(phone: Phone) -> None:
    with ThreadPoolExecutor(4) as pool:
        sent = [pool.submit(phone.push_raw, phone.outbox[:20]) for _ in range(4)]
        answers = [future.result() for future in sent]
    assert [answer.status for answer in answers] == [200] * 4
    firsts = [[(r["id"], r["first"] or r["status"], r["seq"]) for r in a.body["results"]] for a in answers]
    assert firsts == [firsts[0]] * 4


def test_repeats_splits_and_reorders_leave_the_same_content(
    live_site: LiveSite, phone_of: Callable[..., Phone]
) -> None:
    """I1: whichever way a queue arrives, the database holds the same rows and the same outcomes."""
    ways = (whole, in_crumbs, all_of_it_again_and_again, out_of_order, overlapping, by_four_lines_at_once)
    hashes = {}
    for way in ways:
        # Ids are one to an installation: each way has the database to itself.
        empty_database(connections["owner"])
        hashes[way.__name__] = twice(open_house(), lambda house: phone_of(house.owner_key, seed=7), way)
    assert set(hashes.values()) == {hashes["whole"]}, hashes


def test_a_killed_server_leaves_a_chunk_whole_or_absent(live_site: LiveSite, phone_of: Callable[..., Phone]) -> None:
    """I2: SIGKILL at drawn moments of a push of 42 commands, which is one chunk."""
    undisturbed = twice(open_house(), lambda house: phone_of(house.owner_key, seed=9), whole)
    draw = random.Random(20)  # noqa: S311
    for _ in range(3):
        empty_database(connections["owner"])
        house = open_house()
        phone = phone_of(house.owner_key, seed=9)
        for nth in range(3):
            story.visit(phone, shop=SHOP, nth=nth)
        pushing = threading.Thread(target=_push_and_lose, args=(phone,))
        pushing.start()
        time.sleep(draw.uniform(0.02, 0.5))
        live_site.kill()
        pushing.join()
        ((count,),) = truth.ask("SELECT count(*) FROM sync_loggedcommand WHERE shop_id = %s", house.id)
        assert count in (0, 42)
        truth.assert_sound(house.id)
        live_site.start()
        phone.sync()
        assert truth.content(house.id, same_people=False) == undisturbed


def _push_and_lose(phone: Phone) -> None:
    with contextlib.suppress(NoAnswer):
        phone.push_raw(phone.outbox)


def test_a_cut_answer_is_asked_for_again(house: House, line: Line, phone_of: Callable[..., Phone]) -> None:
    """The server has committed, the phone has not heard: the repetition is answered from the log."""
    phone = phone_of(house.owner_key)
    story.visit(phone, shop=SHOP)
    reached, phone.send = phone.send, Wire(line.port, house.owner_key, timeout=5)
    line.cut_after(20)
    with pytest.raises(NoAnswer):
        phone.push_raw(phone.outbox)
    phone.send = reached
    _wait_for_log(house, 14)
    assert phone.push_raw(phone.outbox).status == 200
    assert {(e.outcome["status"], e.outcome["first"]) for e in phone.outbox if e.outcome} == {("duplicate", "applied")}
    phone.pull()
    truth.assert_sound(house.id)


def _wait_for_log(house: House, count: int) -> None:
    for _ in range(100):
        if len(truth.table("sync_loggedcommand", house.id)) == count:
            return
        time.sleep(0.05)
    raise AssertionError("the server has not committed")


def test_poison_in_the_middle_stops_nothing(house: House, phone: Phone) -> None:
    """I4: refused intents are recorded with their fault and the way on is free."""
    phone.write("add_customer", id=phone.mint(), name="First")
    phone.write("add_customer", id=phone.mint(), name="x" * 121)
    phone.write("add_customer", id=phone.mint(), name="No such field", colour="red")
    phone.write("move_job", id=phone.mint(), stage="repair")
    phone.write("brew_coffee", id=phone.mint())
    phone.write("add_customer", id=phone.mint(), name="Last")
    phone.sync()
    said = [(e.status, e.outcome["code"], [f["field"] for f in e.outcome["fields"]]) for e in phone.outbox if e.outcome]
    assert said == [
        ("applied", None, []),
        ("rejected", "invalid", ["name"]),
        ("rejected", "invalid", ["colour"]),
        ("rejected", "not_found", ["id"]),
        ("held", "unknown_command", []),
        ("applied", None, []),
    ]
    assert sorted(row["name"] for row in phone.rows("customer").values()) == ["First", "Last"]
    truth.assert_sound(house.id)


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
def test_malformed_arguments_never_stop_a_queue(house: House, phone: Phone, args: dict[str, Any]) -> None:
    """Whatever stands in one command's arguments, that command ends rejected and the next one is applied."""
    phone.write("add_customer", **{"id": phone.mint(), **args})
    phone.write("add_customer", id=phone.mint(), name="Behind it")
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected", "applied"]
    truth.assert_sound(house.id)


def test_characters_that_cannot_be_kept_are_replaced(house: House, phone: Phone) -> None:
    """NUL and half of a surrogate pair would be refused with the whole push, at each attempt."""
    phone.write("add_customer", id=phone.mint(), name="nul \x00", notes="half \ud83d")
    phone.sync()
    phone.push_raw(phone.outbox)
    (row,) = phone.rows("customer").values()
    assert (row["name"], row["notes"]) == ("nul \ufffd", "half \ufffd")
    assert [entry.status for entry in phone.outbox] == ["applied"]


def test_a_fault_of_ours_holds_one_command(house: House, phone: Phone, monkeypatch: pytest.MonkeyPatch) -> None:
    """I4, scenario 7: a service that breaks holds its command as internal; the rest of the chunk is applied."""

    def broken(*, actor: Actor, data: Any) -> None:
        Customer.objects.create(id=data.id, shop_id=actor.shop_id, name="Half done")
        raise KeyError(data.label)

    customer_id = story.fresh(phone, "add_customer", name="Ada")
    phone.write("add_site", id=phone.mint(), customer_id=customer_id, label="Barn")
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Behind it"})
    monkeypatch.setitem(COMMANDS, "add_site", replace(COMMANDS["add_site"], service=broken))
    monkeypatch.setitem(KNOWN, "add_site", COMMANDS["add_site"])
    data = decode(
        Push,
        {
            "device": phone.id,
            "sent_wall": story.TODAY.isoformat(),
            "commands": [entry.on_wire() for entry in phone.outbox],
        },
    )
    pushed = push_commands(actor=house.owner, data=data)
    assert [(r.status, r.code) for r in pushed.results] == [("applied", None), ("held", "internal"), ("applied", None)]
    assert [row["notes"] for row in truth.table("customers_customer", house.id)] == ["Behind it"]
    monkeypatch.undo()
    with in_shop(house.id):
        held = LoggedCommand.objects.get(code="internal")
        assert rerun(held, take_number(house.id)).status == "applied"
    assert [row["label"] for row in truth.table("customers_site", house.id)] == ["Barn"]
    truth.assert_sound(house.id)


def test_a_fact_is_applied_or_held(house: House, phone: Phone) -> None:
    """I15: what has happened is never refused: what cannot be applied is laid before people."""
    phone.write("record_meter", id=phone.mint(), machine_id=phone.mint(), hours="-4", read_on="2026-01-01")
    phone.write("record_finding", id=phone.mint(), job_id=phone.mint(), words="Loose belt", rank="needed")
    phone.write("add_complaint", id=phone.mint(), job_id=phone.mint(), words="Smoke")
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["held"] * 3
    issues = phone.rows("issue").values()
    assert {issue["command_id"] for issue in issues} == {entry.id for entry in phone.outbox}
    assert {(issue["kind"], issue["state"]) for issue in issues} == {("held", "open")}
    truth.assert_sound(house.id)


# Numbers and identities


def test_a_gap_names_the_number_that_is_missing(house: House, phone: Phone) -> None:
    entries = [phone.write("add_customer", id=phone.mint(), name=f"C{n}") for n in range(4)]
    answer = phone.push_raw(entries[2:])
    assert (answer.status, answer.body["code"], answer.body["expect"]) == (409, "gap", 1)
    phone.push_raw(entries[:1])
    answer = phone.push_raw(entries[2:])
    assert (answer.status, answer.body["expect"]) == (409, 2)
    phone.sync()
    assert len(phone.rows("customer")) == 4
    truth.assert_sound(house.id)


def test_a_copied_phone_parts_and_loses_nothing(house: House, phone: Phone, phone_of: Callable[..., Phone]) -> None:
    """Two phones with one identity: the second to use a number goes on under a new identity."""
    shared = phone.write("add_customer", id=phone.mint(), name="Shared")
    copy = Phone(phone.send, random.Random(99), phone.id, phone.letter, phone.next_no)  # noqa: S311
    copy.outbox = [replace(shared)]
    phone.write("add_customer", id=phone.mint(), name="Mine")
    copy.write("add_customer", id=copy.mint(), name="The copy's")
    phone.sync()
    copy.sync()
    phone.sync()
    assert copy.earlier_ids == [phone.id]
    assert sorted(row["name"] for row in phone.rows("customer").values()) == ["Mine", "Shared", "The copy's"]
    assert phone.base == copy.base
    truth.assert_sound(house.id)


def test_the_same_id_with_other_arguments_is_a_fork(house: House, phone: Phone) -> None:
    entry = phone.write("add_customer", id=phone.mint(), name="One")
    phone.sync()
    changed = replace(entry, args={**entry.args, "name": "Two"})
    answer = phone.push_raw([changed])
    assert (answer.status, answer.body["code"]) == (409, "fork")
    assert [row["name"] for row in truth.table("customers_customer", house.id)] == ["One"]


def test_a_chain_is_held_together_and_released_in_order(house: House, phone: Phone) -> None:
    """Scenario 47: mending the first command releases all that rest on it."""
    customer_id, machine_id, job_id = (phone.mint() for _ in range(3))
    phone.write("add_customer", id=customer_id, name="x" * 121)
    phone.write("add_machine", id=machine_id, customer_id=customer_id, kind="mower")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id)
    drawn = story.begin_quote(phone, job_id, customer="Mended", machine="mower")
    story.put_line(phone, drawn, 1234)
    story.offer(phone, drawn, shop=SHOP)
    story.decide(phone, drawn, 1)
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected"] + ["held"] * 6
    assert {entry.outcome["code"] for entry in phone.outbox[1:] if entry.outcome} == {"waits_for"}
    assert not phone.rows("issue")
    phone.write("add_customer", id=customer_id, name="Mended")
    phone.sync()
    for entry in phone.outbox:
        entry.outcome = phone.call("GET", f"sync/commands/{entry.id}").body
    assert [entry.status for entry in phone.outbox] == ["rejected"] + ["applied"] * 7
    assert phone.rows("quote")[drawn.id]["state"] == "decided"
    assert next(iter(phone.rows("approval").values()))["accepted_total_minor"] == drawn.total
    truth.assert_sound(house.id)


def test_what_was_refused_for_an_unknown_row_is_refused_again(house: House, phone: Phone) -> None:
    """A change of a row that nobody made does not wait for its own earlier refusal."""
    unknown = phone.mint()
    for _ in range(2):
        phone.write("edit_customer", id=unknown, base={"name": "A"}, set={"name": "B"})
    phone.write("remove_customer", id=unknown)
    phone.sync()
    assert [(e.status, e.outcome["code"]) for e in phone.outbox if e.outcome] == [("rejected", "not_found")] * 3


def test_a_revoked_device_is_kept_unexecuted(house: House, phone: Phone, phone_of: Callable[..., Phone]) -> None:
    lost = phone_of(house.mechanic_key, seed=2)
    lost.sync()
    lost.write("add_customer", id=lost.mint(), name="Written on the lost phone")
    revoke_device(actor=house.owner, data=Target(id=UUID(lost.id)))
    lost.sync()
    assert lost.retired
    assert lost.call("GET", f"sync/pull?device={lost.id}&cursor={lost.cursor}").status == 410
    assert lost.call("GET", f"sync/snapshot?device={lost.id}").status == 410
    assert truth.table("customers_customer", house.id) == []
    (logged,) = truth.table("sync_loggedcommand", house.id)
    assert (logged["status"], logged["code"]) == ("held", "device_retired")
    phone.sync()
    assert not phone.rows("customer")
    # The owner sees what the lost phone still held, and may have it carried out after all.
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["name"], issue["ours"]["name"]) == (
        "held",
        "add_customer",
        "Written on the lost phone",
    )
    phone.write("settle_issue", id=issue["id"], choice="ours")
    phone.sync()
    assert [row["name"] for row in phone.rows("customer").values()] == ["Written on the lost phone"]
    assert [row["state"] for row in phone.rows("issue").values()] == ["resolved"]
    truth.assert_sound(house.id)


def test_a_revoked_device_cannot_fill_the_shop(
    house: House, phone_of: Callable[..., Phone], monkeypatch: pytest.MonkeyPatch
) -> None:
    lost = phone_of(house.mechanic_key, seed=2)
    lost.sync()
    for count in range(5):
        lost.write("add_customer", id=lost.mint(), name=f"Customer {count}")
    revoke_device(actor=house.owner, data=Target(id=UUID(lost.id)))
    monkeypatch.setattr(pushing, "MOST_KEPT_OF_RETIRED", 3)
    sent = [decode(Envelope, entry.on_wire()) for entry in lost.outbox]
    actor = actor_of(house.id, house.mechanic_id, Role.MECHANIC, may_see_cost=False)
    for _ in range(2):
        pushed = push_commands(actor=actor, data=Push(device=UUID(lost.id), sent_wall=now(), commands=sent))
        assert (pushed.retired, pushed.next_no) == (True, 4)
    assert len(truth.table("sync_loggedcommand", house.id)) == 3
