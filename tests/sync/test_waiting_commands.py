"""Commands that name a row which has not arrived: held, run once it arrives, an issue once overdue."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from shopapi.core.clock import now
from shopapi.sync.services import held_commands
from shopapi.sync.tasks import process_waiting_commands
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.simulated_phone import SimulatedPhone


def statuses(phone: SimulatedPhone) -> list[tuple[str | None, str | None]]:
    """The current status and code of each command."""
    for entry in phone.outbox:
        entry.outcome = phone.call("GET", f"sync/commands/{entry.id}").body
    return [(entry.status, entry.outcome["code"] if entry.outcome else None) for entry in phone.outbox]


def test_command_naming_an_unsent_row_waits_for_it(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """An edit, a fact and commands that depend on them, pushed before the phone that created the customer."""
    late = new_phone(shop.mechanic_key, seed=2)
    customer_id, machine_id, job_id = (late.new_id() for _ in range(3))
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Gate code 12"})
    phone.write("add_machine", id=machine_id, customer_id=customer_id, kind="mower")
    phone.write("record_meter", id=phone.new_id(), machine_id=machine_id, hours="12", read_on="2026-05-01")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id)
    phone.write("move_job", id=job_id, stage="repair")
    phone.write("add_complaint", id=phone.new_id(), job_id=job_id, words="It stalls")
    phone.sync()
    assert statuses(phone) == [("held", "waits_for")] * 6
    assert phone.rows("issue") == {}
    late.write("add_customer", id=customer_id, name="Ada")
    late.sync()
    assert statuses(phone) == [("applied", None)] * 6
    phone.sync()
    assert phone.rows("customer")[customer_id]["notes"] == "Gate code 12"
    assert phone.rows("job")[job_id]["stage"] == "repair"
    assert phone.rows("issue") == {}
    invariants.assert_server_invariants(shop.id)


def test_nested_row_id_is_waited_for(shop: SyncShop, phone: SimulatedPhone) -> None:
    """A failed stop creates a new one with an id nested in the command's arguments."""
    visit = scenario.record_visit(phone, shop=SHOP)
    stop_id, again_id = phone.new_id(), phone.new_id()
    phone.write("ask_stop", id=stop_id, job_id=visit.job_id, kind="pickup", site_id=visit.site_id, notes="")
    phone.sync()
    early = phone.write("drop_stop", id=again_id, reason="Not needed")
    phone.sync()
    assert early.status == "held"
    phone.write(
        "fail_stop",
        id=stop_id,
        at=now().isoformat(),
        reason="nobody_home",
        note="",
        again_id=again_id,
        plan_id=None,
    )
    phone.sync()
    assert set(statuses(phone)) == {("applied", None)}
    assert phone.rows("stop")[again_id]["state"] == "dropped"


def test_row_created_over_rest_releases_waiting_commands(shop: SyncShop, phone: SimulatedPhone) -> None:
    customer_id = phone.new_id()
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Gate code 12"})
    phone.sync()
    assert statuses(phone) == [("held", "waits_for")]
    made = phone.call("POST", "customers", {"id": customer_id, "name": "Ada"}, **{"Idempotency-Key": phone.new_id()})
    assert made.status == 201
    process_waiting_commands()
    assert statuses(phone) == [("applied", None)]
    assert [row["notes"] for row in invariants.table_rows("customers_customer", shop.id)] == ["Gate code 12"]
    invariants.assert_server_invariants(shop.id)


def test_removed_row_is_not_waited_for(shop: SyncShop, phone: SimulatedPhone) -> None:
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    phone.write("remove_customer", id=customer_id)
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Too late"})
    phone.sync()
    assert [(e.status, e.outcome and e.outcome["code"]) for e in phone.outbox][-1] == ("rejected", "not_found")


def test_hidden_row_is_not_waited_for(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """An errand of the owner is hidden from a mechanic: stopping it is rejected, not held."""
    mechanic = new_phone(shop.mechanic_key, seed=2)
    began = now() - timedelta(hours=1)
    errand = scenario.create_row(phone, "start_clock", kind="errand", started_at=began.isoformat())
    phone.sync()
    mechanic.write("drop_entry", id=errand, reason="Not mine")
    mechanic.sync()
    assert statuses(mechanic) == [("rejected", "not_found")]


@pytest.mark.parametrize("fact", [True, False])
def test_overdue_command_opens_an_issue_and_still_runs(
    shop: SyncShop, phone: SimulatedPhone, monkeypatch: pytest.MonkeyPatch, *, fact: bool
) -> None:
    job_id = phone.new_id()
    waits: dict[str, Any] = {"id": phone.new_id(), "job_id": job_id, "words": "It stalls"}
    if fact:
        phone.write("add_complaint", **waits)
    else:
        phone.write("move_job", id=job_id, stage="repair")
    phone.sync()
    process_waiting_commands()
    phone.sync()
    assert phone.rows("issue") == {}
    monkeypatch.setattr(held_commands, "WAITS_UNSEEN", timedelta(0))
    for _ in range(2):
        process_waiting_commands()
    phone.sync()
    (issue,) = phone.rows("issue").values()
    assert (issue["kind"], issue["state"], issue["command_id"]) == ("held", "open", phone.outbox[0].id)
    assert job_id in issue["ours"].values()
    # When the job arrives after all, the command runs and its issue is resolved.
    customer_id = scenario.create_row(phone, "add_customer", name="Ada")
    machine_id = scenario.create_row(phone, "add_machine", customer_id=customer_id, kind="mower")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id)
    phone.sync()
    assert set(statuses(phone)) == {("applied", None)}
    assert [row["state"] for row in phone.rows("issue").values()] == ["resolved"]
    invariants.assert_server_invariants(shop.id)


def test_command_left_out_by_a_person_does_not_run(
    shop: SyncShop, phone: SimulatedPhone, monkeypatch: pytest.MonkeyPatch
) -> None:
    customer_id = phone.new_id()
    phone.write("edit_customer", id=customer_id, base={"notes": ""}, set={"notes": "Wrong"})
    phone.sync()
    monkeypatch.setattr(held_commands, "WAITS_UNSEEN", timedelta(0))
    process_waiting_commands()
    phone.sync()
    (issue_id,) = phone.rows("issue")
    phone.write("settle_issue", id=issue_id, choice="theirs")
    phone.write("add_customer", id=customer_id, name="Ada")
    phone.sync()
    process_waiting_commands()
    assert [row["notes"] for row in invariants.table_rows("customers_customer", shop.id)] == [""]
    invariants.assert_server_invariants(shop.id)
