"""After a restore (scenario 38) phones resend in any order, and everything is as before."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop
from shopapi.jobs.queries import search
from shopapi.sync.services import backups, held_commands
from shopapi.sync.tasks import process_waiting_commands
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.random_work import RandomWork
from tests.sync.shop_dump import dump_shops, restore_shops
from tests.sync.simulated_clock import HOUR, SimulatedClock
from tests.sync.simulated_phone import SimulatedPhone

NewPhone = Callable[..., SimulatedPhone]


def _differences(before: list[str], after: list[str]) -> tuple[list[str], list[str]]:
    """Rows that exist only before, and only after.

    An issue about overlapping clocks resolves itself when a stop arrives late; whether it was opened at all depends on
    the order of arrival, so resolved ones without a command are ignored.
    """
    gone = '"command_id": null'
    left = [[row for row in rows if not (gone in row and '"state": "resolved"' in row)] for rows in (before, after)]
    return [row for row in left[0] if row not in left[1]], [row for row in left[1] if row not in left[0]]


def all_sync(phones: list[SimulatedPhone]) -> None:
    for _ in range(2):
        for phone in phones:
            phone.sync()


def open_issues(shop: SyncShop) -> list[str]:
    return sorted(row["words"] for row in invariants.table_rows("core_issue", shop.id) if row["state"] == "open")


@pytest.mark.parametrize("seed", range(14))
def test_phones_returning_in_any_order_recover_everything(shop: SyncShop, new_phone: NewPhone, seed: int) -> None:
    """I17: the same rows, outcomes, numbers and issues, with and without a raised epoch."""
    keys = [shop.owner_key, shop.owner_key, shop.mechanic_key]
    phones = [new_phone(key, seed=100 * seed + nth) for nth, key in enumerate(keys)]
    work = RandomWork(phones, seed)
    all_sync(phones)
    work.open_job(phones[0])
    work.run_steps(work.rng.randrange(4, 20))
    saved = dump_shops()
    work.run_steps(40)
    all_sync(phones)
    before, issues = invariants.shop_content(shop.id), open_issues(shop)
    restore_shops(saved)
    if seed % 2:
        backups.record_restore()
    order = [*phones]
    work.rng.shuffle(order)
    for phone in order:
        phone.sync()
    all_sync(order)
    after = invariants.shop_content(shop.id)
    assert {kind: _differences(before[kind], after[kind]) for kind in before} == {kind: ([], []) for kind in before}
    assert open_issues(shop) == issues
    invariants.assert_server_invariants(shop.id)
    for phone in phones:
        assert not phone.former_device_ids
        invariants.assert_equals_snapshot(phone)


# Job and quote numbers


def open_job(phone: SimulatedPhone) -> str:
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    machine_id = scenario.create_row(phone, "add_machine", customer_id=customer_id, kind="mower")
    return scenario.create_row(
        phone, "open_job", customer_id=customer_id, machine_id=machine_id, mark=f"{phone.letter}-1"
    )


def offer_quote(phone: SimulatedPhone, job_id: str) -> str:
    draft = scenario.start_quote(phone, job_id, customer="Ada", machine="mower")
    scenario.add_line(phone, draft, 1000)
    scenario.offer_quote(phone, draft, shop=SHOP)
    return draft.id


def numbers(phone: SimulatedPhone, kind: str, *ids: str) -> list[str]:
    return [phone.rows(kind)[row_id]["number"] for row_id in ids]


def test_job_and_quote_numbers_survive_a_restore(shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone) -> None:
    """J-1003 is resent before J-1002: each keeps its number, and a new job gets an unused one."""
    other = new_phone(shop.mechanic_key, seed=2)
    first = open_job(phone)
    all_sync([phone, other])
    saved = dump_shops()
    second = open_job(other)
    offered_second = offer_quote(other, second)
    other.sync()
    third = open_job(phone)
    offered_third = offer_quote(phone, third)
    all_sync([phone, other])
    assert numbers(phone, "job", first, second, third) == ["J-1001", "J-1002", "J-1003"]
    assert numbers(phone, "quote", offered_second, offered_third) == ["Q-301", "Q-302"]
    restore_shops(saved)
    phone.sync()
    fresh = open_job(phone)
    offered_fresh = offer_quote(phone, fresh)
    phone.sync()
    all_sync([other, phone])
    assert numbers(phone, "job", first, second, third, fresh) == ["J-1001", "J-1002", "J-1003", "J-1004"]
    assert numbers(phone, "quote", offered_second, offered_third, offered_fresh) == ["Q-301", "Q-302", "Q-303"]
    assert phone.rows("issue") == {}
    invariants.assert_server_invariants(shop.id)


@pytest.mark.parametrize("choice", ["theirs", "ours"])
def test_number_reissued_after_a_restore_opens_an_issue(
    shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone, choice: str
) -> None:
    open_job(phone)
    phone.sync()
    saved = dump_shops()
    on_quote = open_job(phone)
    quoted = offer_quote(phone, on_quote)
    phone.sync()
    assert (numbers(phone, "job", on_quote), numbers(phone, "quote", quoted)) == (["J-1002"], ["Q-301"])
    restore_shops(saved)
    other = new_phone(shop.owner_key, seed=2)
    newer = open_job(other)
    quoted_newer = offer_quote(other, newer)
    other.sync()
    all_sync([phone, other])
    assert numbers(phone, "job", newer, on_quote) == ["J-1002", "J-1003"]
    assert numbers(phone, "quote", quoted_newer, quoted) == ["Q-301", "Q-302"]
    issues = {row["name"]: row for row in phone.rows("issue").values()}
    assert {(row["kind"], row["state"]) for row in issues.values()} == {("conflict", "open")}
    assert [issues["number_job"][side] for side in ("theirs", "ours")] == [{"number": "J-1003"}, {"number": "J-1002"}]
    assert [issues["number_quote"][side] for side in ("theirs", "ours")] == [{"number": "Q-302"}, {"number": "Q-301"}]

    def found(number: str) -> set[str]:
        with in_shop(shop.id):
            hits = search(shop.owner, number)
        return {str(hit.id) for hit in hits if hit.kind == "job" and hit.score == 1}

    assert found("J-1002") == {on_quote, newer}
    for row in issues.values():
        phone.write("settle_issue", id=row["id"], choice=choice)
    all_sync([phone, other])
    assert {row["state"] for row in other.rows("issue").values()} == {"resolved"}
    if choice == "theirs":
        assert numbers(other, "job", newer, on_quote) == ["J-1002", "J-1003"]
        assert numbers(other, "quote", quoted_newer, quoted) == ["Q-301", "Q-302"]
    else:
        assert numbers(other, "job", newer, on_quote) == ["J-1004", "J-1002"]
        assert numbers(other, "quote", quoted_newer, quoted) == ["Q-303", "Q-301"]
        assert found("J-1003") == {on_quote}
    assert found("J-1002") == {on_quote, newer}
    invariants.assert_server_invariants(shop.id)


@pytest.mark.parametrize("claimed", ["J-999999999", "J-01002", "Q-1002", "J-\u0661", "J-", "1002", "J-12", ""])
def test_number_without_a_valid_seal_is_ignored(shop: SyncShop, phone: SimulatedPhone, claimed: str) -> None:
    job_id = open_job(phone)
    phone.outbox[-1].earlier = {"status": "applied", "number": claimed}
    phone.sync()
    assert numbers(phone, "job", job_id) == ["J-1001"]
    assert numbers(phone, "job", open_and_sync(phone)) == ["J-1002"]


def open_and_sync(phone: SimulatedPhone) -> str:
    job_id = open_job(phone)
    phone.sync()
    return job_id


def test_unsealed_earlier_outcome_is_ignored(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Claiming a restore does not let a member choose a number, reject a command or shift a time."""
    job_id = open_job(phone)
    phone.outbox[-1].earlier = {"status": "applied", "number": "J-5000", "seal": "0" * 64}
    phone.outbox[0].earlier = {"status": "rejected", "code": "forged", "words": "Anything"}
    began = now() - timedelta(hours=1)
    punch = scenario.create_row(phone, "start_clock", kind="shop", started_at=began.isoformat())
    phone.outbox[-1].earlier = {"status": "applied", "skew_ms": 5 * HOUR}
    waits = phone.write("settle_issue", id=phone.new_id(), choice="ours")
    waits.earlier = {"status": "applied", "after": phone.new_id()}
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["applied"] * 4 + ["rejected"]
    assert numbers(phone, "job", job_id) == ["J-1001"]
    assert abs(datetime.fromisoformat(phone.rows("time_entry")[punch]["started_at"]) - began) < timedelta(seconds=30)


def test_seal_covers_content_and_command(shop: SyncShop, phone: SimulatedPhone) -> None:
    open_and_sync(phone)
    saved = dump_shops()
    changed_id, other_id = open_job(phone), open_job(phone)
    phone.sync()
    assert numbers(phone, "job", changed_id, other_id) == ["J-1002", "J-1003"]
    restore_shops(saved)
    changed, other = (
        next(entry for entry in phone.outbox if entry.args["id"] == row) for row in (changed_id, other_id)
    )
    for entry in phone.outbox:
        entry.mark_unsent()
    assert changed.earlier is not None
    assert other.earlier is not None
    changed.earlier, other.earlier = {**changed.earlier, "number": "J-5000"}, changed.earlier
    phone.sync()
    assert numbers(phone, "job", changed_id, other_id) == ["J-1002", "J-1003"]
    assert numbers(phone, "job", open_and_sync(phone)) == ["J-1004"]


@pytest.mark.parametrize("skew", [2**53, -(2**53), 101 * 366 * 24 * HOUR])
def test_skew_beyond_the_limit_is_rejected(shop: SyncShop, phone: SimulatedPhone, skew: int) -> None:
    entry = phone.write("start_clock", id=phone.new_id(), kind="shop", started_at=now().isoformat())
    entry.earlier = {"status": "applied", "skew_ms": skew}
    phone.register()
    answer = phone.push_entries([entry])
    assert answer.status == 422
    assert [fault["field"] for fault in answer.body["fields"]] == ["commands.0.earlier.skew_ms"]


# Rejected commands and lost phones


def test_command_rejected_before_a_restore_stays_rejected(
    shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone
) -> None:
    """The person has seen the rejection; the restored state would allow the command."""
    other = new_phone(shop.owner_key, seed=2)
    job_id = open_job(phone)
    for stage in ("repair", "testing", "ready"):
        phone.write("move_job", id=job_id, stage=stage)
    all_sync([phone, other])
    saved = dump_shops()
    other.write("move_job", id=job_id, stage="repair")
    other.sync()
    refused = phone.write("move_job", id=job_id, stage="returned")
    phone.sync()
    other.sync()
    assert (refused.status, refused.outcome and refused.outcome["code"]) == ("rejected", "stage_not_next")
    said, before = refused.outcome, invariants.shop_content(shop.id)
    restore_shops(saved)
    phone.sync()
    assert refused.outcome == said
    assert phone.rows("job")[job_id]["stage"] == "ready"
    all_sync([other, phone])
    assert invariants.shop_content(shop.id) == before


def test_resent_command_uses_its_original_skew(shop: SyncShop, phone: SimulatedPhone) -> None:
    """The skew was measured when the command was first sent and cannot be measured again."""
    job_id = open_job(phone)
    phone.sync()
    saved = dump_shops()
    began = now() - timedelta(hours=1)
    clocks = phone.clocks = SimulatedClock(int(began.timestamp() * 1000), ahead_ms=3 * HOUR)
    shown = (began + timedelta(hours=3)).isoformat()
    punch = scenario.create_row(phone, "start_clock", kind="repair", job_id=job_id, started_at=shown)
    clocks.run(HOUR)
    phone.sync()
    before = datetime.fromisoformat(phone.rows("time_entry")[punch]["started_at"])
    assert abs(before - began) < timedelta(seconds=30)
    clocks.adjust(-3 * HOUR)
    clocks.reload()
    restore_shops(saved)
    phone.sync()
    assert datetime.fromisoformat(phone.rows("time_entry")[punch]["started_at"]) == before


def test_restored_commands_run_after_the_deadline_without_the_lost_phone(
    shop: SyncShop, phone: SimulatedPhone, new_phone: NewPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An edit depends on one from a phone that does not return: once overdue it runs as if it were new."""
    lost = new_phone(shop.owner_key, seed=2)
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    all_sync([phone, lost])
    saved = dump_shops()
    lost.write("edit_customer", id=customer_id, base={"phone": ""}, set={"phone": "208 555 0101"})
    made = scenario.create_row(lost, "add_customer", name="Known to the lost phone alone")
    lost.sync()
    phone.sync()
    after = phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Gate code 12"})
    of_lost = phone.write("edit_customer", id=made, base={"notes": ""}, set={"notes": "Call first"})
    phone.sync()
    restore_shops(saved)
    all_sync([phone])
    assert [(entry.status, entry.outcome and entry.outcome["code"]) for entry in (after, of_lost)] == [
        ("held", "waits_for")
    ] * 2
    process_waiting_commands()
    phone.sync()
    assert (phone.rows("customer")[customer_id]["notes"], phone.rows("issue")) == ("", {})
    monkeypatch.setattr(held_commands, "WAITS_UNSEEN", timedelta(0))
    for _ in range(2):
        process_waiting_commands()
    phone.sync()
    assert phone.rows("customer")[customer_id]["notes"] == "Gate code 12"
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["state"], issue["command_id"]) == ("held", "open", of_lost.id)
    invariants.assert_server_invariants(shop.id)
