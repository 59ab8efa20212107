"""Invitations: a link for one person, usable once within a week, where they set their own password."""

import hashlib
import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.test import Client

from shopapi.accounts.models import Invitation, Member, User
from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import Acceptance, NewDevice, NewInvitation, Role
from shopapi.accounts.services.devices import register_device, revoke_device
from shopapi.accounts.services.invitations import (
    accept_invitation,
    address_of_invitation,
    find_invitation,
    invite_member,
    join_at_once,
    withdraw_invitation,
)
from shopapi.accounts.services.members import end_membership
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Receipt
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew
from tests.factories.refusals import refuses

EMAIL, OWN = "ivo@marsh.example", "grease and patience"


@pytest.fixture
def crew(committed_db: None) -> Iterator[Crew]:
    yield open_crew()
    # Wrong sign-ins are counted per network, and all tests come from one.
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM accounts_signintry")


def invite(crew: Crew, *, email: str = EMAIL, role: Role = Role.MECHANIC) -> Invitation:
    return invite_member(actor=crew.owner, data=NewInvitation(id=uuid7(), name="Ivo Marsh", email=email, role=role))


def secret_of(crew: Crew, invitation: Invitation) -> str:
    with in_shop(crew.shop_id):
        return address_of_invitation(actor=crew.owner, invitation_id=invitation.id).rsplit("/", 1)[1]


def join(secret: str, password: str = OWN) -> User:
    return accept_invitation(secret=secret, data=Acceptance(password=password), network="203.0.113.7")


def members(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        return sorted(Member.objects.values_list("name", flat=True))


def test_person_sets_a_password_without_script_and_is_signed_in(crew: Crew) -> None:
    owner, body = Browser(crew.owner), {"name": "Ivo Marsh", "email": EMAIL, "role": "mechanic"}
    made = owner.post("invitations", {"id": str(uuid7()), **body}).json()
    url = owner.get(f"invitations/{made['id']}/address").json()["url"]
    path = urlsplit(url).path
    phone = Client(enforce_csrf_checks=True)
    page = phone.get(path)
    assert page.status_code == 200
    assert b"<script" not in page.content
    assert b"Join Bench &amp; Bar" in page.content
    assert (page.headers["Referrer-Policy"], page.headers["Cache-Control"]) == ("same-origin", "no-store")
    typed = {"csrfmiddlewaretoken": page.context["csrf_token"], "password": OWN, "again": OWN}
    for wrong, words in [
        ({"password": "short", "again": "short"}, "Take 12 to 128 characters."),
        ({"password": "123456789012345", "again": "123456789012345"}, "only digits"),
        ({"again": "grease and haste"}, "These two are not the same."),
    ]:
        refused = phone.post(path, typed | wrong)
        assert refused.status_code == 422
        assert words in refused.content.decode()
    assert phone.post(path, typed | {"csrfmiddlewaretoken": "forged"}).status_code == 403
    joined = phone.post(path, typed)
    assert (joined.status_code, joined.headers["Location"]) == (303, "/")
    state = phone.get("/api/v1/session").json()
    assert (state["member"]["name"], state["member"]["role"], state["shop_id"]) == (
        "Ivo Marsh",
        "mechanic",
        str(crew.shop_id),
    )
    assert state["member"]["id"] == made["id"]
    gone = phone.get(path)
    assert (gone.status_code, "already been used" in gone.content.decode()) == (410, True)
    # The secret is only in the link, the password only with the sign-in, as a hash.
    secret = path.rsplit("/", 1)[1]
    with in_shop(crew.shop_id):
        invitation = Invitation.objects.get(name="Ivo Marsh")
        assert invitation.token_hash == hashlib.sha256(secret.encode()).hexdigest()
        kept = [str(row) for model in (Receipt, AuditEvent, Invitation) for row in model.objects.values()]
    assert not [row for row in kept if secret in row or OWN in row]


def test_twenty_concurrent_acceptances_join_once(crew: Crew) -> None:
    secret = secret_of(crew, invite(crew))

    def try_to_join(_: int) -> str:
        try:
            join(secret)
        except (Conflict, Invalid) as refusal:
            return refusal.code
        finally:
            connection.close()
        return "joined"

    with ThreadPoolExecutor(4) as pool:
        outcomes = list(pool.map(try_to_join, range(20)))
    assert outcomes.count("joined") == 1
    assert set(outcomes) <= {"joined", "accepted", "wrong_password"}
    assert members(crew).count("Ivo Marsh") == 1


def test_invitation_ends_after_a_week_by_withdrawal_and_by_a_new_one(crew: Crew) -> None:
    old = secret_of(crew, invite(crew))
    with held_at(now() + timedelta(days=7, seconds=1)), refuses(Conflict, "has expired"):
        join(old)
    again = invite(crew)
    secret = secret_of(crew, again)
    with refuses(Conflict, "withdrawn this invitation"):
        join(old)
    withdraw_invitation(actor=crew.owner, data=Target(id=again.id))
    with refuses(Conflict, "withdrawn this invitation"):
        join(secret)
    assert "Ivo Marsh" not in members(crew)
    join(secret_of(crew, invite(crew)))
    assert "Ivo Marsh" in members(crew)
    with in_shop(crew.shop_id):
        accepted = Invitation.objects.filter(name="Ivo Marsh").exclude(accepted_at=None).get()
    with refuses(Conflict, "has already joined"):
        withdraw_invitation(actor=crew.owner, data=Target(id=accepted.id))


def test_person_with_a_sign_in_joins_only_with_its_password(crew: Crew) -> None:
    other = open_crew("Larkspur Small Engine")
    join_at_once(
        actor=other.owner,
        data=NewInvitation(id=uuid7(), name="Ivo Marsh", email=EMAIL.upper(), role=Role.OFFICE),
        password=PASSWORD,
    )
    secret = secret_of(crew, invite(crew))
    assert find_invitation(secret=secret, network="203.0.113.7").signs_in
    with refuses(Invalid, "already signs in here"):
        join(secret, OWN)
    user = join(secret, PASSWORD)
    assert user.check_password(PASSWORD)
    assert User.objects.filter(email__iexact=EMAIL).count() == 1
    # They work in the shop that they joined last.
    browser = Browser()
    state = browser.post("session", {"email": EMAIL, "password": PASSWORD}).json()
    assert state["shop_id"] == str(crew.shop_id)


def test_member_cannot_be_invited(crew: Crew) -> None:
    with refuses(Invalid, "The office already signs in with this address"):
        invite(crew, email="Office@bench.example")
    assert crew.office.member_id is not None
    end_membership(actor=crew.owner, data=Target(id=crew.office.member_id))
    with refuses(Invalid, "Restore their access instead"):
        invite(crew, email="office@bench.example")


def test_invitations_of_a_dismissed_owner_or_lost_phone_are_withdrawn(crew: Crew) -> None:
    second = secret_of(crew, invite(crew, role=Role.OWNER))
    join(second)
    lost = Browser(crew.owner)
    lost.get("sync/snapshot", device=str(crew.owner.device_id))
    by_phone = lost.post("invitations", {"id": str(uuid7()), "name": "A", "email": "a@a.example", "role": "owner"})
    with in_shop(crew.shop_id):
        acting = Member.objects.get(name="Ivo Marsh")
    from_phone = urlsplit(lost.get(f"invitations/{by_phone.json()['id']}/address").json()["url"]).path.rsplit("/", 1)[1]
    assert crew.owner.device_id is not None
    assert crew.owner.member_id is not None
    revoke_device(actor=crew.owner, data=Target(id=crew.owner.device_id))
    with refuses(Conflict, "withdrawn this invitation"):
        join(from_phone)
    elsewhere = secret_of(crew, invite(crew, email="b@b.example"))
    end_membership(actor=crew.owner, data=Target(id=crew.owner.member_id))
    with refuses(Conflict, "withdrawn this invitation"):
        join(elsewhere)
    assert acting.active


def second_owner(crew: Crew) -> tuple[Actor, Browser]:
    """Another owner of the shop and the phone that they signed in on."""
    data = NewInvitation(id=uuid7(), name="Second Owner", email="second@bench.example", role=Role.OWNER)
    join_at_once(actor=crew.owner, data=data, password=PASSWORD)
    second = actor_of(crew.shop_id, data.id, Role.OWNER, may_see_cost=True)
    device = register_device(actor=second, data=NewDevice(id=uuid7(), label="Phone"))
    second = replace(second, device_id=device.id)
    phone = Browser(second)
    assert phone.get("sync/snapshot", device=str(device.id)).status_code == 200
    return second, phone


def read_link(phone: Browser, invitation: Invitation) -> str:
    url: str = phone.get(f"invitations/{invitation.id}/address").json()["url"]
    return urlsplit(url).path.rsplit("/", 1)[1]


@pytest.mark.parametrize("how", ["dismissed", "signed off", "new password"])
def test_dismissed_owner_cannot_return_by_another_owners_link(crew: Crew, how: str) -> None:
    second, phone = second_owner(crew)
    invitation = invite(crew, role=Role.OWNER)
    secret = read_link(phone, invitation)
    assert second.member_id is not None
    assert second.device_id is not None
    if how == "dismissed":
        end_membership(actor=crew.owner, data=Target(id=second.member_id))
    elif how == "signed off":
        revoke_device(actor=crew.owner, data=Target(id=second.device_id))
    else:
        body = {"old": PASSWORD, "new": "another long password"}
        assert Browser(second).post("session/password", body).status_code == 200
    with refuses(Conflict, "withdrawn this invitation"):
        join(secret)
    assert "Ivo Marsh" not in members(crew)
    row = Browser(crew.owner).get(f"invitations/{invitation.id}").json()
    assert row["withdrawn_at"] is not None
    # The owner makes a new link, and that one works.
    join(secret_of(crew, invite(crew, role=Role.OWNER)))
    assert "Ivo Marsh" in members(crew)


def test_signing_off_one_device_of_a_session_withdraws_invitations_from_its_others(crew: Crew) -> None:
    second, phone = second_owner(crew)
    assert phone.post("sync/devices", {"id": str(uuid7()), "label": "Spare"}).status_code == 200
    body = {"name": "Ivo Marsh", "email": EMAIL, "role": "owner"}
    made = phone.post("invitations", {"id": str(uuid7()), **body}).json()
    with in_shop(crew.shop_id):
        invitation = Invitation.objects.get(id=made["id"])
    secret = read_link(phone, invitation)
    assert invitation.device_id != second.device_id
    assert second.device_id is not None
    revoke_device(actor=crew.owner, data=Target(id=second.device_id))
    with refuses(Conflict, "withdrawn this invitation"):
        join(secret)


def test_a_mechanic_who_leaves_withdraws_no_invitation(crew: Crew) -> None:
    """A mechanic cannot read the links."""
    secret = secret_of(crew, invite(crew))
    assert crew.mechanic.member_id is not None
    end_membership(actor=crew.owner, data=Target(id=crew.mechanic.member_id))
    join(secret)


def test_reading_an_invitation_link_is_audited(crew: Crew) -> None:
    second, phone = second_owner(crew)
    invitation = invite(crew)
    read_link(phone, invitation)
    with in_shop(crew.shop_id):
        events = AuditEvent.objects.filter(subject_id=invitation.id, event="invitation link read")
        assert list(events.values_list("member_id", "device_id")) == [(second.member_id, second.device_id)]


def test_unknown_link_is_404_and_guessing_is_throttled(crew: Crew) -> None:
    browser = Client()
    assert browser.get("/join/no-such-secret").status_code == 404
    statuses = {browser.get(f"/join/guess-{count}").status_code for count in range(30)}
    assert statuses == {404, 429}
    with pytest.raises(NotFound):
        find_invitation(secret="another", network="198.51.100.9")


def test_wrong_links_do_not_throttle_the_right_one(crew: Crew) -> None:
    """All customers of a mobile network may share one address."""
    path = f"/join/{secret_of(crew, invite(crew))}"
    statuses = [Client().get(f"/join/guess-{count}").status_code for count in range(30)]
    assert statuses == [404] * 25 + [429] * 5
    assert Client().get(path).status_code == 200


def test_old_apps_password_is_removed_before_logging(crew: Crew) -> None:
    """Older apps sent a first password in a command that this server no longer knows."""
    args = {"id": str(uuid7()), "name": "Ivo", "password": "a first password", "deep": [{"api_token": "0123"}]}
    written = {"id": str(uuid7()), "no": 1, "name": "add_member", "wall": now().isoformat(), "args": args}
    body: dict[str, Any] = {"device": str(crew.mechanic.device_id), "sent_wall": now().isoformat()}
    phone = Browser(crew.mechanic)
    first = phone.post("sync/push", body | {"commands": [written]})
    assert first.json()["results"][0]["status"] in ("held", "rejected")
    # Sent again it is the same command.
    assert phone.post("sync/push", body | {"commands": [written]}).json()["results"][0]["status"] == "duplicate"
    with connection.cursor() as cursor, in_shop(crew.shop_id):
        cursor.execute("SELECT args FROM sync_loggedcommand UNION ALL SELECT ours FROM core_issue")
        kept = json.dumps(cursor.fetchall())
    assert "a first password" not in kept
    assert "0123" not in kept
    assert "(taken out)" in kept
