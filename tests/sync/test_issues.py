"""Held commands and their issues: who may settle them, what is never held, and how each ends."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from shopapi.accounts.models import Invitation, Member
from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import NewDevice, NewInvitation, Permission, Role
from shopapi.accounts.services.devices import register_device, revoke_device
from shopapi.accounts.services.invitations import join_at_once
from shopapi.accounts.services.members import end_membership
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Forbidden
from shopapi.core.feed import claim_commit_seq
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.dispatch.models import Rig
from shopapi.labor.models import TimeEntry
from shopapi.sync.models import LoggedCommand
from shopapi.sync.services.catalog import can_be_held
from shopapi.sync.services.execution import open_held_issue, rerun_command
from shopapi.sync.services.held_commands import process_waiting_commands, retry_held_commands
from shopapi.sync.services.issues import settle_issue
from shopapi.sync.services.push import PUSH_COMMANDS
from tests.factories import work
from tests.factories.crews import Browser, Crew, member_of, open_crew
from tests.factories.examples import Scene
from tests.factories.refusals import refuses
from tests.factories.work import do
from tests.sync.direct_push import held_issue_of, logged, push

MADE = now() - timedelta(hours=3)


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def settle(actor: Actor, issue: Issue, choice: str) -> Issue:
    settled: Issue = do(actor, settle_issue, id=issue.id, choice=choice)
    return settled


def deputy(crew: Crew) -> Actor:
    """A mechanic who may do one thing more: sign phones off, and so settle what they hand in."""
    return replace(crew.mechanic, permissions=crew.mechanic.permissions | {Permission.MANAGE_MEMBERS})


def second_owner(crew: Crew) -> Actor:
    """Another owner with a device, whose membership can be ended."""
    former = NewInvitation(id=uuid7(), name="Rex Former", email="former@bench.example", role=Role.OWNER)
    join_at_once(actor=crew.owner, data=former, password="a long password")
    actor = actor_of(crew.shop_id, former.id, Role.OWNER, may_see_cost=True)
    return replace(actor, device_id=register_device(actor=actor, data=NewDevice(id=uuid7())).id)


def sign_off(crew: Crew, actor: Actor) -> None:
    """The device is signed off as lost: what it sends is held."""
    do(crew.owner, revoke_device, id=actor.device_id)


# Commands that are never held


NOT_HOLDABLE = {
    "invite_member",
    "withdraw_invitation",
    "end_membership",
    "resume_membership",
    "revoke_device",
    "edit_shop",
    "edit_billing_settings",
    "edit_price_book",
    "put_notice_template",
    "drop_notice_template",
    "turn_on_push",
    "turn_off_push",
    "settle_issue",
    "number_job",
    "number_quote",
}


def test_commands_about_members_devices_and_the_shop_are_never_held() -> None:
    """The list is written out so that every change of it is reviewed."""
    assert {command.name for command in PUSH_COMMANDS.values() if not can_be_held(command)} == NOT_HOLDABLE
    of_accounts = {name for name, one in PUSH_COMMANDS.items() if one.service.__module__.startswith("shopapi.accounts")}
    assert of_accounts <= NOT_HOLDABLE
    assert not any(PUSH_COMMANDS[name].fact for name in NOT_HOLDABLE)


@pytest.mark.parametrize("left", ["device signed off", "membership ended"])
def test_signed_off_device_gets_only_holdable_commands_held(crew: Crew, left: str) -> None:
    former = second_owner(crew)
    if left == "membership ended":
        do(crew.owner, end_membership, id=former.member_id)
    else:
        sign_off(crew, former)
    names = sorted(PUSH_COMMANDS)
    said = []
    for start in range(0, len(names), 40):
        said += push(former, *((name, {"id": str(uuid7())}) for name in names[start : start + 40]))
    assert {name for name, one in zip(names, said, strict=True) if one.status == "rejected"} == NOT_HOLDABLE
    assert {one.status for one in said} == {"rejected", "held"}
    with in_shop(crew.shop_id):
        assert not set(Issue.objects.values_list("name", flat=True)) & NOT_HOLDABLE


@pytest.mark.parametrize("name", sorted(NOT_HOLDABLE - {"settle_issue"}))
def test_internal_error_rejects_a_command_that_cannot_be_held(
    crew: Crew, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*, actor: Actor, data: Any) -> None:
        raise KeyError(name)

    monkeypatch.setitem(
        PUSH_COMMANDS, name, replace(PUSH_COMMANDS[name], service=broken, schema=PUSH_COMMANDS["drop_follow_up"].schema)
    )
    (said,) = push(crew.owner, (name, {"id": str(uuid7())}), v=PUSH_COMMANDS[name].v)
    assert (said.status, said.code) == ("rejected", "internal")


def test_missing_row_rejects_a_command_that_cannot_be_held(crew: Crew) -> None:
    """Otherwise a revocation would run when somebody creates a row with that id."""
    refused = str(uuid7())
    said = push(crew.owner, ("add_customer", {"id": refused, "name": ""}), ("revoke_device", {"id": refused}))
    assert [one.status for one in said] == ["rejected", "rejected"]


def test_command_held_by_an_older_version_is_rejected_if_it_cannot_be_held(crew: Crew) -> None:
    """An older database may still hold_command such commands: neither settling nor a new build runs them."""
    former = second_owner(crew)
    taken = {"id": str(uuid7()), "name": "Back door", "email": "b@d.example", "role": "owner"}
    sign_off(crew, former)
    (said,) = push(former, ("invite_member", taken))
    with in_shop(crew.shop_id):
        row = LoggedCommand.objects.get(id=said.id)
        row.status, row.code = "held", "device_retired"
        row.save()
        issue = Issue.objects.create(
            shop_id=crew.shop_id,
            kind="held",
            command_id=said.id,
            name="invite_member",
            entity_kind="command",
            entity_id=said.id,
            words="",
            ours=taken,
        )
    for actor in (crew.mechanic, crew.owner):
        with pytest.raises((Conflict, Forbidden)):
            settle(actor, issue, "ours")
    with in_shop(crew.shop_id):
        rerun_command(LoggedCommand.objects.get(id=said.id), claim_commit_seq(crew.shop_id))
        assert LoggedCommand.objects.get(id=said.id).status == "rejected"
        assert not Invitation.objects.filter(name="Back door").exists()


# Permissions of settler and sender


def test_settling_requires_the_settlers_permission(crew: Crew) -> None:
    """Settling a held command of an owner's lost phone also needs the permission for that command."""
    former = second_owner(crew)
    sign_off(crew, former)
    (said,) = push(former, ("add_rig", {"id": str(uuid7()), "name": "Red truck", "payload_kg": 900}))
    assert said.status == "held"
    issue = held_issue_of(crew.owner, said.id)
    with pytest.raises(Forbidden) as refused:
        settle(deputy(crew), issue, "ours")
    assert refused.value.reason.context == {"permission": "plan runs"}
    settle(crew.owner, issue, "ours")
    with in_shop(crew.shop_id):
        assert Rig.objects.get().name == "Red truck"


def test_settling_requires_the_senders_current_permission(crew: Crew) -> None:
    """A sender whose role was lowered does not regain it when an owner settles."""
    former = second_owner(crew)
    sign_off(crew, former)
    (said,) = push(former, ("add_rig", {"id": str(uuid7()), "name": "Red truck", "payload_kg": 900}))
    with in_shop(crew.shop_id):
        Member.objects.filter(id=member_of(former)).update(role="mechanic")
    with refuses(Conflict, "Rex Former") as refused:
        settle(crew.owner, held_issue_of(crew.owner, said.id), "ours")
    assert refused.value.code == "still_refused"
    with in_shop(crew.shop_id):
        assert not Rig.objects.exists()
    assert logged(crew.owner, said.id).status == "held"


def test_permissions_checked_within_a_command_are_the_intersection(crew: Crew) -> None:
    """Stopping another member's clock needs more than the command's permission: the office may, a mechanic may not."""
    job = work.a_job(crew.owner)
    entry = work.a_clock(crew.owner, job, started_at=MADE)
    sign_off(crew, crew.office)
    (said,) = push(crew.office, ("stop_clock", {"id": str(entry), "ended_at": now().isoformat()}))
    issue = held_issue_of(crew.owner, said.id)
    with pytest.raises(Conflict) as refused:
        settle(deputy(crew), issue, "ours")
    assert refused.value.code == "still_refused"
    settle(crew.owner, issue, "ours")
    with in_shop(crew.shop_id):
        assert TimeEntry.objects.get(id=entry).ended_at is not None


def test_intent_of_a_former_member_is_held(crew: Crew) -> None:
    """It waited for a row when the membership ended: a person decides, with both members' permissions."""
    customer = str(uuid7())
    said = push(
        crew.mechanic,
        ("add_customer", {"id": customer, "name": ""}),
        ("edit_customer", {"id": customer, "base": {"notes": ""}, "set": {"notes": "Gate code 4"}}),
    )
    assert [one.code for one in said] == ["invalid", "waits_for"]
    do(crew.owner, end_membership, id=crew.mechanic.member_id)
    push(crew.owner, ("add_customer", {"id": customer, "name": "Winnie"}))
    with in_shop(crew.shop_id):
        assert Customer.objects.get().notes == ""
    issue = held_issue_of(crew.owner, said[1].id)
    settle(crew.owner, issue, "ours")
    with in_shop(crew.shop_id):
        assert Customer.objects.get().notes == "Gate code 4"


def _end_membership(crew: Crew, former: Actor) -> None:
    do(crew.owner, end_membership, id=former.member_id)


def _both(crew: Crew, former: Actor) -> None:
    sign_off(crew, former)
    do(crew.owner, end_membership, id=former.member_id)


@pytest.mark.parametrize("gone", [sign_off, _end_membership, _both])
def test_held_command_of_a_signed_off_device_does_not_run_by_itself(
    crew: Crew, gone: Callable[[Crew, Actor], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Commands of every kind held before the sign-off become open issues and can still be applied by a person."""
    former, customer, job, entry = second_owner(crew), str(uuid7()), str(uuid7()), str(uuid7())
    edit = ("edit_customer", {"id": customer, "base": {"name": "Winnie"}, "set": {"name": "Stolen"}})
    start = ("start_clock", {"id": entry, "kind": "repair", "job_id": job, "started_at": MADE.isoformat()})
    stop = ("stop_clock", {"id": entry, "ended_at": (MADE + timedelta(hours=1)).isoformat()})
    said = push(former, edit, start, stop)
    with monkeypatch.context() as patch:

        def broken(*, actor: Actor, data: Any) -> None:
            raise KeyError(data.id)

        patch.setitem(PUSH_COMMANDS, "add_rig", replace(PUSH_COMMANDS["add_rig"], service=broken))
        patch.delitem(PUSH_COMMANDS, "add_complaint")
        unknown = ("add_complaint", {"id": str(uuid7()), "job_id": job, "words": "It smokes."})
        said += push(former, ("add_rig", {"id": str(uuid7()), "name": "Red truck", "payload_kg": 900}), unknown)
    assert [one.code for one in said] == ["waits_for"] * 3 + ["internal", "unknown_command"]
    gone(crew, former)
    push(crew.owner, ("add_customer", {"id": customer, "name": "Winnie"}))
    work.a_job(crew.owner, id=job)
    process_waiting_commands(shop_id=crew.shop_id)
    retry_held_commands(crew.shop_id)
    # The stop still waits: its entry is not here.
    assert [(now.status, now.code) for one in said if (now := logged(crew.owner, one.id)) and one is not said[2]] == [
        ("held", "device_retired")
    ] * 4
    with in_shop(crew.shop_id):
        assert Customer.objects.get(id=customer).name == "Winnie"
        assert not TimeEntry.objects.exists()
        assert not Rig.objects.exists()
        for one in (said[0], said[1], said[3], said[4]):
            assert Issue.objects.get(command_id=one.id, entity_kind="command").state == "open"
    settle(crew.owner, held_issue_of(crew.owner, said[1].id), "ours")
    assert (logged(crew.owner, said[2].id).status, logged(crew.owner, said[2].id).code) == ("held", "device_retired")
    settle(crew.owner, held_issue_of(crew.owner, said[2].id), "ours")
    with in_shop(crew.shop_id):
        assert TimeEntry.objects.get(id=entry).ended_at == MADE + timedelta(hours=1)


def test_unknown_version_of_a_never_held_command_is_rejected(crew: Crew) -> None:
    said = push(crew.owner, *((name, {"id": str(uuid7())}) for name in sorted(NOT_HOLDABLE)), v=999)
    assert {one.status for one in said} == {"rejected"}
    assert push(crew.owner, ("add_customer", {"id": str(uuid7()), "name": "Winnie"}), v=999)[0].status == "held"


# Facts; each of them is also tried by `test_every_command.py`


@pytest.mark.parametrize("name", ["start_clock", "record_finding", "add_complaint"])
def test_fact_received_before_its_job_is_applied_when_the_job_arrives(crew: Crew, name: str) -> None:
    job = uuid7()
    args = Scene(crew.owner).example(name) | {"job_id": str(job)}
    (said,) = push(crew.mechanic, (name, args))
    assert (said.status, said.code) == ("held", "waits_for")
    with in_shop(crew.shop_id):
        # As the sweep does after some days.
        open_held_issue(LoggedCommand.objects.get(id=said.id))
    issue = held_issue_of(crew.owner, said.id)
    with pytest.raises(Conflict) as refused:
        settle(crew.owner, issue, "ours")
    assert refused.value.code == "still_refused"
    work.a_job(crew.owner, id=job)
    settle(crew.owner, issue, "ours")
    assert logged(crew.owner, said.id).status == "applied"
    with in_shop(crew.shop_id):
        assert Issue.objects.get(id=issue.id).state == "resolved"


def test_settled_fact_with_an_anomaly_is_applied_and_still_needs_review(crew: Crew) -> None:
    """A held command that is applied with an anomaly has two issues: settling the first leaves the second open."""
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    args = work.decision_on(crew.owner, quote) | {"digest": "0" * 64}
    sign_off(crew, crew.mechanic)
    (said,) = push(crew.mechanic, ("decide_quote", args))
    settle(crew.owner, held_issue_of(crew.owner, said.id), "ours")
    assert (logged(crew.owner, said.id).status, logged(crew.owner, said.id).code) == ("held", "needs_review")
    with in_shop(crew.shop_id):
        filed = Issue.objects.get(command_id=said.id, state="open")
    assert (filed.entity_kind, filed.entity_id) == ("quote", quote)
    with pytest.raises(Conflict) as refused:
        settle(crew.owner, filed, "ours")
    assert refused.value.code == "evidence_only"
    settle(crew.owner, filed, "theirs")


def test_command_left_out_is_never_run_again(crew: Crew) -> None:
    """Its job arrives afterwards: the command that a person left out is not run."""
    job, entry = str(uuid7()), str(uuid7())
    machine = work.a_machine(crew.owner, customer := work.a_customer(crew.owner))
    said = push(
        crew.mechanic,
        ("open_job", {"id": job, "customer_id": str(customer), "machine_id": str(machine), "mark": "x" * 200}),
        ("start_clock", {"id": entry, "kind": "repair", "job_id": job, "started_at": MADE.isoformat()}),
    )
    settle(crew.office, held_issue_of(crew.owner, said[1].id), "theirs")
    assert logged(crew.owner, said[1].id).code == "left_out"
    push(crew.mechanic, ("open_job", {"id": job, "customer_id": str(customer), "machine_id": str(machine)}))
    with in_shop(crew.shop_id):
        assert not TimeEntry.objects.exists()


# Two people


def test_second_settler_gets_who_settled_and_how(crew: Crew) -> None:
    sign_off(crew, crew.mechanic)
    (said,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": "Winnie"}))
    issue = held_issue_of(crew.owner, said.id)
    choice = ("settle_issue", {"id": str(issue.id), "choice": "theirs"})
    assert push(second_owner(crew), choice)[0].status == "applied"
    (second,) = push(crew.owner, ("settle_issue", {"id": str(issue.id), "choice": "ours"}))
    assert (second.status, second.code) == ("rejected", "already_settled")
    assert second.words is not None
    assert second.words.startswith("Rex Former already settled this and discarded it.")
    with in_shop(crew.shop_id):
        assert not Customer.objects.exists()


def test_repeated_settlement_is_settled_once(crew: Crew) -> None:
    sign_off(crew, crew.mechanic)
    (said,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": "Winnie"}))
    issue = held_issue_of(crew.owner, said.id)
    key, body = uuid7(), {"id": str(issue.id), "choice": "ours"}
    browser = Browser(crew.owner)
    answers = [browser.post(f"issues/{issue.id}/settle", body, key=key) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].json() == answers[1].json()
    other = browser.post(f"issues/{issue.id}/settle", body)
    assert (other.status_code, other.json()["code"]) == (409, "already_settled")
    assert other.json()["choice"] == "ours"
    with in_shop(crew.shop_id):
        assert Customer.objects.count() == 1


# Held time of a rejected job


def test_held_time_on_a_rejected_job_opens_an_issue(crew: Crew) -> None:
    """The issue shows member, duration and customer: 2 h 15 min for Winnie's tractor; then they are booked."""
    customer, machine, job = str(uuid7()), str(uuid7()), str(uuid7())
    entry, began = str(uuid7()), now().replace(microsecond=0) - timedelta(hours=4)
    intake = {"id": job, "customer_id": customer, "machine_id": machine, "mark": "B-12"}
    said = push(
        crew.mechanic,
        ("add_customer", {"id": customer, "name": "Winnie Stroud", "phone": "5" * 400}),
        ("add_machine", {"id": machine, "customer_id": customer, "kind": "garden tractor", "make": "Hartvale"}),
        ("open_job", intake),
        ("start_clock", {"id": entry, "kind": "repair", "job_id": job, "started_at": began.isoformat()}),
    )
    assert [one.status for one in said] == ["rejected", "held", "held", "held"]
    issue = held_issue_of(crew.office, said[3].id)
    assert "seconds" not in issue.theirs
    stop = ("stop_clock", {"id": entry, "ended_at": (began + timedelta(hours=2, minutes=15)).isoformat()})
    assert push(crew.mechanic, stop)[0].code == "waits_for"
    shown = [row for row in Browser(crew.office).get("issues").json()["rows"] if row["state"] == "open"]
    (row,) = [row for row in shown if row["name"] == "start_clock"]
    assert row["theirs"] == {
        "member": "The mechanic",
        "job": "B-12 · Winnie Stroud · Hartvale garden tractor",
        "customer_id": customer,
        "started_at": began.isoformat(),
        "ended_at": (began + timedelta(hours=2, minutes=15)).isoformat(),
        "seconds": 2 * 3600 + 15 * 60,
    }
    assert len(shown) == 1
    push(crew.mechanic, ("add_customer", {"id": customer, "name": "Winnie Stroud"}))
    with in_shop(crew.shop_id):
        booked = TimeEntry.objects.get(id=entry)
        assert (booked.ended_at, booked.state) == (began + timedelta(hours=2, minutes=15), "closed")
        assert not Issue.objects.filter(state="open").exists()


def test_issue_of_held_time_names_member_span_and_job(crew: Crew) -> None:
    """The next start of the same device ends the one before; a stop takes its start from the entry."""
    job = work.a_job(crew.owner, mark="B-3")
    running = work.a_clock(crew.mechanic, job, started_at=MADE)
    sign_off(crew, crew.mechanic)
    ended = MADE + timedelta(minutes=30)
    said = push(
        crew.mechanic,
        ("stop_clock", {"id": str(running), "ended_at": ended.isoformat()}),
        ("start_clock", {"id": str(uuid7()), "kind": "shop", "started_at": ended.isoformat()}),
        ("start_clock", {"id": str(uuid7()), "kind": "errand", "started_at": (ended + timedelta(hours=1)).isoformat()}),
    )
    stop, first, second = (held_issue_of(crew.owner, one.id).theirs for one in said)
    assert (stop["member"], stop["seconds"]) == ("The mechanic", 1800)
    assert "Winnie Stroud" in stop["job"]
    assert (first["seconds"], "job" in first) == (3600, False)
    assert "ended_at" not in second


def test_manual_entry_opens_an_issue_for_a_rejected_job_and_not_for_a_missing_one(crew: Crew) -> None:
    """The second waits for another phone and is shown only when overdue."""
    machine = work.a_machine(crew.owner, customer := work.a_customer(crew.owner))
    refused = {"id": str(uuid7()), "customer_id": str(customer), "machine_id": str(machine), "mark": "x" * 200}
    by_hand = {"kind": "repair", "started_at": MADE.isoformat(), "ended_at": (MADE + timedelta(hours=1)).isoformat()}
    said = push(
        crew.mechanic,
        ("open_job", refused),
        ("add_entry", {"id": str(uuid7()), "job_id": refused["id"], "reason": "Forgot the clock", **by_hand}),
        ("start_clock", {"id": str(uuid7()), "kind": "repair", "job_id": str(uuid7()), "started_at": MADE.isoformat()}),
    )
    assert [one.code for one in said] == ["invalid", "waits_for", "waits_for"]
    shown = held_issue_of(crew.owner, said[1].id).theirs
    assert (shown["member"], shown["seconds"]) == ("The mechanic", 3600)
    assert "Winnie Stroud" in shown["job"]
    with in_shop(crew.shop_id):
        assert Issue.objects.count() == 1
