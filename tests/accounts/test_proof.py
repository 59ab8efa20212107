"""Dangerous acts ask for the password or a passkey again, and take place once it was given."""

from datetime import timedelta
from typing import Any

import pytest

from shopapi.accounts.models import ApiToken, Invitation, Member
from shopapi.accounts.rules import NewInvitation, Role
from shopapi.accounts.services.invitations import invite_member
from shopapi.accounts.services.tokens import make_token
from shopapi.core.clock import held_at, now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, member_of, open_crew

LATER = timedelta(minutes=16)


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def act_of(name: str, crew: Crew) -> tuple[str, dict[str, Any]]:
    """The path and body of an act on rows of this shop."""
    row = str(uuid7())
    if name == "invite":
        person = {"id": row, "name": "Ivo", "email": "ivo@bench.example", "role": "owner"}
        return "invitations", person
    if name == "add a key":
        return "api-keys", {"id": row, "label": "Books", "permissions": ["read"]}
    if name == "add a webhook's secret":
        body = {"id": row, "url": "https://books.example/hook", "kinds": []}
        assert Browser(crew.owner).post("webhooks", body).status_code == 201
        return f"webhooks/{row}/secret", {}
    mechanic = str(member_of(crew.mechanic))
    if name == "end a membership":
        return f"members/{mechanic}/end", {"id": mechanic}
    assert name == "resume a membership"
    office = str(member_of(crew.office))
    assert Browser(crew.owner).post(f"members/{office}/end", {"id": office}).status_code == 200
    return f"members/{office}/resume", {"id": office}


@pytest.mark.parametrize(
    "name", ["invite", "add a key", "add a webhook's secret", "end a membership", "resume a membership"]
)
def test_act_waits_for_a_proof_and_then_takes_place_under_the_same_key(crew: Crew, name: str) -> None:
    path, body = act_of(name, crew)
    owner, key = Browser(crew.owner), uuid7()
    with held_at(now() + LATER):
        refused = owner.post(path, body, key=key)
        assert (refused.status_code, refused.json()["code"]) == (403, "proof_needed")
        assert owner.get("customers").status_code == 200
        assert owner.post("session/proof", {"password": PASSWORD}).status_code == 204
        assert owner.post(path, body, key=key).status_code in {200, 201}


def test_nothing_was_changed_before_the_proof(crew: Crew) -> None:
    paths = [act_of(name, crew) for name in ("invite", "add a key", "end a membership")]
    owner = Browser(crew.owner)
    with held_at(now() + LATER):
        assert {owner.post(path, body).status_code for path, body in paths} == {403}
    with in_shop(crew.shop_id):
        assert (Invitation.objects.filter(accepted_at=None).count(), ApiToken.objects.count()) == (0, 0)
        assert Member.objects.filter(active=False).count() == 0


def test_link_and_value_of_a_key_are_not_shown_without_a_proof(crew: Crew) -> None:
    path, body = act_of("add a key", crew)
    assert Browser(crew.owner).post(path, body).status_code == 201
    person = NewInvitation(id=uuid7(), name="Ivo", email="ivo@bench.example", role=Role.MECHANIC)
    with in_shop(crew.shop_id):
        invite_member(actor=crew.owner, data=person)
    owner = Browser(crew.owner)
    with held_at(now() + LATER):
        assert owner.post(f"api-keys/{body['id']}/value", {}).json()["code"] == "proof_needed"
        assert owner.get(f"invitations/{person.id}/address").json()["code"] == "proof_needed"


def test_lost_phone_is_signed_off_without_delay(crew: Crew) -> None:
    device, owner = str(crew.mechanic.device_id), Browser(crew.owner)
    with held_at(now() + LATER):
        assert owner.post(f"devices/{device}/revoke", {"id": device}).status_code == 200


def test_key_of_another_program_is_not_asked(crew: Crew) -> None:
    key = make_token(actor=crew.owner, member_id=member_of(crew.owner), label="own")
    path, body = act_of("invite", crew)
    with held_at(now() + LATER):
        assert Browser().post(path, body, Authorization=f"Bearer {key}").status_code == 201
