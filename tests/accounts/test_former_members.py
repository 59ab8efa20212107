"""A membership ends at once and can be resumed; commands queued on the former member's phone still arrive."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from pytest_django import Settings

from shopapi.accounts.models import Device, Member
from shopapi.accounts.queries import actor_for_session, actor_for_token, actor_for_user, actor_of
from shopapi.accounts.rules import NewInvitation, Permission, Role
from shopapi.accounts.services.devices import revoke_device
from shopapi.accounts.services.invitations import invite_member, join_at_once
from shopapi.accounts.services.members import end_membership, resume_membership
from shopapi.accounts.services.tokens import make_token
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at
from shopapi.core.errors import Conflict, Forbidden, unpack
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.labor.models import TimeEntry
from shopapi.machines.models import MeterReading
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.push import Push
from shopapi.sync.services.execution import open_held_issue
from shopapi.sync.services.issues import settle_issue
from shopapi.sync.services.push import PushResult, push_commands
from tests.factories import work
from tests.factories.crews import PASSWORD, Browser, Crew, device_of, member_of, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do
from tests.sync.direct_push import push

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


@pytest.fixture
def committed_crew(committed_db: None, settings: Settings) -> Crew:
    """For requests that are refused: that is recorded in a transaction after theirs."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def leave(crew: Crew) -> None:
    with held_at(NOON):
        do(crew.owner, end_membership, id=crew.mechanic.member_id)


def user_of(actor: Actor) -> UUID:
    with in_shop(actor.shop_id):
        return Member.objects.get(id=member_of(actor)).user_id


def hand_in(crew: Crew, *written: tuple[datetime, str, dict[str, Any]], ahead: timedelta = timedelta(0)) -> PushResult:
    """Push from the mechanic's phone two hours after noon, in a session that is still open."""
    actor = actor_for_session(user_of(crew.mechanic))
    assert actor is not None
    with in_shop(crew.shop_id):
        first = Device.objects.get(id=device_of(crew.mechanic)).next_no
    commands = [
        {"id": str(uuid7()), "no": no, "name": name, "wall": wall.isoformat(), "args": args}
        for no, (wall, name, args) in enumerate(written, first)
    ]
    sent = (NOON + 2 * HOUR + ahead).isoformat()
    pushed = {"device": str(crew.mechanic.device_id), "sent_wall": sent, "commands": commands}
    with held_at(NOON + 2 * HOUR):
        return push_commands(actor=actor, data=parse(Push, pushed))


def refused(ask: Callable[..., Any], *about: object) -> tuple[int, str]:
    """Status and code of a refusal, in a savepoint."""
    with transaction.atomic():
        return said(ask(*about))


def said(answer: Any) -> tuple[int, str]:
    return answer.status_code, answer.json()["code"]


def a_reading(machine: UUID) -> dict[str, Any]:
    return {"id": str(uuid7()), "machine_id": str(machine), "hours": "612.4", "read_on": "2026-05-04"}


def test_former_member_cannot_read_or_write(committed_crew: Crew) -> None:
    crew = committed_crew
    customer = work.a_customer(crew.owner)
    browser = Browser(crew.mechanic)
    assert crew.mechanic.member_id is not None
    key = make_token(actor=crew.owner, member_id=crew.mechanic.member_id, label="a script")
    assert browser.get(f"customers/{customer}").status_code == 200
    assert actor_for_token(key) is not None
    leave(crew)
    for path in ("customers", f"customers/{customer}", "members", "jobs", "shop", "price-book"):
        assert said(browser.get(path)) == (403, "forbidden"), path
    assert said(browser.post("customers", {"id": str(uuid7()), "name": "A"})) == (403, "forbidden")
    assert said(browser.post("sync/devices", {"id": str(uuid7())})) == (403, "forbidden")
    assert actor_for_token(key) is None
    credentials = {"email": "mechanic@bench.example", "password": PASSWORD}
    # A phone whose session has expired may sign in to upload its queue, and for nothing else.
    again = Browser()
    assert again.post("session", credentials).json()["permissions"] == ["hand_in"]
    assert said(again.get("customers")) == (403, "forbidden")
    assert said(again.post("sync/devices", {"id": str(uuid7())})) == (403, "forbidden")
    # The phone still gets its member, but no prices.
    state = browser.get("session").json()
    assert (state["permissions"], state["shop_id"]) == (["hand_in"], str(crew.shop_id))
    assert "labor_rates" not in json.dumps(state)


def test_only_owners_end_memberships_and_one_owner_stays(crew: Crew) -> None:
    for actor in (crew.office, crew.mechanic):
        body = {"id": str(crew.office.member_id)}
        assert refused(Browser(actor).post, f"members/{crew.office.member_id}/end", body) == (403, "forbidden")
    with refuses(Conflict, "needs an owner"):
        do(crew.owner, end_membership, id=crew.owner.member_id)
    second = uuid7()
    bo = NewInvitation(id=second, name="Bo", email="bo@bench.example", role=Role.OWNER)
    do(crew.owner, invite_member, **bo.model_dump())
    # Who is invited only cannot look after the shop yet.
    with refuses(Conflict, "needs an owner"):
        do(crew.owner, end_membership, id=crew.owner.member_id)
    join_at_once(actor=crew.owner, data=bo.model_copy(update={"id": (second := uuid7())}), password=PASSWORD)
    do(crew.owner, end_membership, id=crew.owner.member_id)
    with refuses(Conflict, "needs an owner"):
        do(actor_of(crew.shop_id, second, Role.OWNER, may_see_cost=True), end_membership, id=second)


def test_former_members_commands_are_held_whatever_their_timestamp(crew: Crew) -> None:
    """Timestamps can be forged: facts dated before the end of the membership are held like the rest."""
    customer = work.a_customer(crew.owner)
    machine, job = work.a_machine(crew.owner, customer), work.a_job(crew.owner)
    running = work.a_clock(crew.mechanic, job, started_at=NOON - 3 * HOUR)
    leave(crew)
    reading, forged = a_reading(machine), uuid7()
    january = datetime(2024, 1, 9, 8, tzinfo=UTC)
    clock = {"id": str(forged), "kind": "repair", "job_id": str(job), "started_at": january.isoformat()}
    renamed = {"id": str(customer), "base": {"name": "Winnie Stroud"}, "set": {"name": "W. Stroud"}}
    pushed = hand_in(
        crew,
        (NOON - HOUR, "record_meter", reading),
        (NOON - HOUR, "stop_clock", {"id": str(running), "ended_at": (NOON - HOUR).isoformat()}),
        (NOON - HOUR, "edit_customer", renamed),
        (january, "start_clock", clock),
        (january + 9 * HOUR, "stop_clock", {"id": str(forged), "ended_at": (january + 9 * HOUR).isoformat()}),
    )
    assert pushed.retired
    assert [(result.status, result.code) for result in pushed.results] == [("held", "device_retired")] * 5
    with in_shop(crew.shop_id):
        assert not MeterReading.objects.exists()
        # Its end is unknown: the running clock stays open until the owner sets its end.
        assert [(one.id, one.ended_at) for one in TimeEntry.objects.all()] == [(running, None)]
        assert Customer.objects.get(id=customer).name == "Winnie Stroud"
        laid = Issue.objects.filter(state="open", member_id=crew.mechanic.member_id)
        assert sorted(laid.values_list("name", flat=True)) == [
            "edit_customer",
            "record_meter",
            "start_clock",
            "stop_clock",
            "stop_clock",
        ]


def test_owner_applies_a_former_members_clock_with_its_own_times(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    leave(crew)
    entry = uuid7()
    started, ended = NOON - 4 * HOUR, NOON - HOUR
    clock = {"id": str(entry), "kind": "repair", "job_id": str(job), "started_at": started.isoformat()}
    hand_in(
        crew,
        (started, "start_clock", clock),
        (ended, "stop_clock", {"id": str(entry), "ended_at": ended.isoformat()}),
    )
    with in_shop(crew.shop_id):
        issues = [issue.id for issue in Issue.objects.filter(state="open").order_by("created_at", "id")]
        assert not TimeEntry.objects.exists()
    with held_at(NOON + 3 * HOUR):
        for issue in issues:
            do(crew.owner, settle_issue, id=issue, choice="ours")
    with in_shop(crew.shop_id):
        counted = TimeEntry.objects.get()
        assert (counted.member_id, counted.started_at, counted.ended_at) == (crew.mechanic.member_id, started, ended)
        assert not Issue.objects.filter(state="open").exists()


@pytest.mark.parametrize("choice", ["ours", "theirs"])
@pytest.mark.parametrize("left", [True, False])
def test_only_the_owner_settles_what_a_signed_off_phone_hands_in(crew: Crew, choice: str, *, left: bool) -> None:
    """Neither a colleague nor the office carries out or leaves out what somebody sent who was shut out."""
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    if left:
        leave(crew)
    else:
        with held_at(NOON):
            do(crew.owner, revoke_device, id=crew.mechanic.device_id)
    hand_in(crew, (NOON - HOUR, "record_meter", a_reading(machine)))
    with in_shop(crew.shop_id):
        issue = Issue.objects.get(state="open")
    colleague = actor_of(crew.shop_id, member_of(crew.office), Role.MECHANIC, may_see_cost=False)
    for actor in (crew.office, colleague):
        with pytest.raises(Forbidden) as refusal:
            do(actor, settle_issue, id=issue.id, choice=choice)
        assert refusal.value.reason.code == "owner_settles"
    with in_shop(crew.shop_id):
        issue.refresh_from_db()
        assert (issue.state, MeterReading.objects.count()) == ("open", 0)
    do(crew.owner, settle_issue, id=issue.id, choice=choice)
    with in_shop(crew.shop_id):
        assert MeterReading.objects.count() == (choice == "ours")


def test_what_waited_when_its_phone_was_signed_off_is_for_the_owner_too(crew: Crew) -> None:
    """A reading of a machine that is on no server yet, overdue; then the phone is lost and the machine arrives."""
    machine = uuid7()
    reading = a_reading(machine)
    with held_at(NOON - HOUR):
        (waits,) = push(crew.mechanic, ("record_meter", reading))
    with in_shop(crew.shop_id):
        open_held_issue(LoggedCommand.objects.get(id=waits.id))
        assert unpack(Issue.objects.get().words).code == "not_here_yet"
    do(crew.owner, revoke_device, id=crew.mechanic.device_id)
    customer = work.a_customer(crew.owner)
    new = {"id": machine, "customer_id": customer, "kind": "tiller"}
    (added,) = push(crew.owner, ("add_machine", new))
    assert added.status == "applied"
    with in_shop(crew.shop_id):
        issue = Issue.objects.get()
        assert (issue.state, unpack(issue.words).code) == ("open", "device_retired")
    with pytest.raises(Forbidden):
        do(crew.office, settle_issue, id=issue.id, choice="theirs")
    do(crew.owner, settle_issue, id=issue.id, choice="ours")
    with in_shop(crew.shop_id):
        assert MeterReading.objects.get().machine_id == machine


def test_lost_phone_of_a_former_member_cannot_push(crew: Crew) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    leave(crew)
    with held_at(NOON + HOUR):
        do(crew.owner, revoke_device, id=crew.mechanic.device_id)
    pushed = hand_in(crew, (NOON - HOUR, "record_meter", a_reading(machine)))
    assert [(result.status, result.code) for result in pushed.results] == [("held", "device_retired")]
    do(crew.owner, resume_membership, id=crew.mechanic.member_id)
    with in_shop(crew.shop_id):
        assert Device.objects.get(id=device_of(crew.mechanic)).revoked_at is not None


def test_resumed_membership_restores_devices_but_not_keys(crew: Crew) -> None:
    assert crew.mechanic.member_id is not None
    key = make_token(actor=crew.owner, member_id=crew.mechanic.member_id, label="a script")
    browser = Browser(crew.mechanic)
    leave(crew)
    body = {"id": str(crew.mechanic.member_id)}
    owner = Browser(crew.owner)
    assert owner.post(f"members/{crew.mechanic.member_id}/end", body).json()["active"] is False
    assert owner.post(f"members/{crew.mechanic.member_id}/resume", body).json()["active"] is True
    assert browser.get("customers").status_code == 200
    actor = actor_for_user(user_of(crew.mechanic))
    assert actor is not None
    assert actor.may(Permission.WORK_JOBS)
    assert actor_for_token(key) is None
    with in_shop(crew.shop_id):
        assert Device.objects.get(id=device_of(crew.mechanic)).revoked_at is None
        audit = AuditEvent.objects.filter(subject_id=crew.mechanic.member_id, event__startswith="membership")
        events = [(event.event, event.details) for event in audit.order_by("id")]
    assert events == [("membership ended", {"devices": 1, "keys": 1}), ("membership resumed", {})]
    work.a_customer(replace(actor, device_id=crew.mechanic.device_id))
