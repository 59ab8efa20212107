"""Shops with one member of each role, and their signed-in browsers."""

import json
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.test import Client

from shopapi.accounts.models import Member, User
from shopapi.accounts.queries import PROVED_AT, SIGNED_IN_AT, actor_of
from shopapi.accounts.rules import FirstShop, NewDevice, NewInvitation, Role
from shopapi.accounts.services.devices import register_device
from shopapi.accounts.services.invitations import join_at_once
from shopapi.accounts.services.sessions import SEEN_AT
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import PriceBook
from shopapi.quotes.rules.confirmed import PRICE_PARTS
from shopapi.quotes.services.shop import open_shop

PASSWORD = "a long password"


@dataclass(frozen=True)
class Crew:
    """The members of one shop, each with a device."""

    owner: Actor
    office: Actor
    mechanic: Actor

    @property
    def shop_id(self) -> UUID:
        return self.owner.shop_id


def open_crew(name: str = "Bench & Bar", *, zone: str = "America/Chicago", currency: str = "USD") -> Crew:
    """A shop with an owner, an office member and a mechanic; they sign in as `owner@<first word>.example` and so on."""
    domain = f"{name.split(maxsplit=1)[0].lower()}.example"
    owner = open_shop(
        data=FirstShop(
            shop_name=name,
            zone=zone,
            currency=currency,
            name="Ada Owner",
            email=f"owner@{domain}",
            password=PASSWORD,
        )
    )
    with in_shop(owner.shop_id):
        # As a shop that has worked for a while: its prices have been looked at.
        PriceBook.objects.update(confirmed=PRICE_PARTS)
    actors = {Role.OWNER: owner}
    for role in (Role.OFFICE, Role.MECHANIC):
        member = NewInvitation(id=uuid7(), name=f"The {role}", email=f"{role}@{domain}", role=role)
        join_at_once(actor=owner, data=member, password=PASSWORD)
        actors[role] = actor_of(owner.shop_id, member.id, role, may_see_cost=False)
    return Crew(*(_with_device(actors[role]) for role in (Role.OWNER, Role.OFFICE, Role.MECHANIC)))


def _with_device(actor: Actor) -> Actor:
    device = register_device(actor=actor, data=NewDevice(id=uuid7(), label="Phone"))
    return replace(actor, device_id=device.id)


def member_of(actor: Actor) -> UUID:
    """The id of the member who acts; the system has none."""
    assert actor.member_id is not None
    return actor.member_id


def device_of(actor: Actor) -> UUID:
    assert actor.device_id is not None
    return actor.device_id


class Browser:
    """A browser on which a member (or nobody) is signed in: JSON in, JSON out, a new Idempotency-Key per write."""

    def __init__(self, actor: Actor | None = None, *, checks_csrf: bool = False) -> None:
        self.client = Client(enforce_csrf_checks=checks_csrf, raise_request_exception=False)
        if actor is not None:
            with in_shop(actor.shop_id):
                user = User.objects.get(id=Member.objects.values_list("user").get(id=member_of(actor))[0])
            self.client.force_login(user)
            session = self.client.session
            # As after a sign-in just now.
            session[SIGNED_IN_AT] = session[PROVED_AT] = session[SEEN_AT] = now().isoformat()
            session.save()

    def get(self, path: str, **query: Any) -> Any:
        return self.client.get(f"/api/v1/{path}", query)

    def post(self, path: str, body: Any, *, key: UUID | str | None = None, **headers: str) -> Any:
        """Send a body as JSON; text and bytes go as they are. `key=""` sends no Idempotency-Key."""
        content = body if isinstance(body, str | bytes) else json.dumps(body)
        sent = {"Idempotency-Key": str(uuid7() if key is None else key)} if key != "" else {}
        return self.client.post(
            f"/api/v1/{path}", content, content_type="application/json", headers={**sent, **headers}
        )
