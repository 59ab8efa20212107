"""Fixtures: a shop with an owner and a mechanic, and simulated phones that talk to a real server."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID, uuid4

import pytest

from shopapi.accounts.rules import FirstShop, NewInvitation, Role
from shopapi.accounts.services.invitations import join_at_once
from shopapi.accounts.services.tokens import make_token
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.quotes.services.shop import open_shop
from tests.factories.work import confirm_prices
from tests.site import LiveSite
from tests.sync.simulated_phone import HttpTransport, SimulatedPhone

SHOP = "Larkspur Small Engine"
PASSWORD = "five-quiet-tractors"


@dataclass(frozen=True)
class SyncShop:
    """A shop with an owner and a mechanic, each with an API key."""

    owner: Actor
    owner_key: str
    mechanic_id: UUID
    mechanic_key: str

    @property
    def id(self) -> UUID:
        return self.owner.shop_id


def create_shop() -> SyncShop:
    mark = uuid4().hex[:8]
    owner = open_shop(
        data=FirstShop(
            shop_name=SHOP,
            zone="America/Boise",
            name="Orla Finch",
            email=f"owner-{mark}@larkspur.example",
            password=PASSWORD,
        )
    )
    confirm_prices(owner)
    mechanic = NewInvitation(
        id=uuid7(),
        name="Milo Reed",
        email=f"mechanic-{mark}@larkspur.example",
        role=Role.MECHANIC,
    )
    join_at_once(actor=owner, data=mechanic, password=PASSWORD)
    assert owner.member_id is not None
    owner_key = make_token(actor=owner, member_id=owner.member_id, label="owner's phone")
    mechanic_key = make_token(actor=owner, member_id=mechanic.id, label="mechanic's phone")
    return SyncShop(owner, owner_key, mechanic.id, mechanic_key)


@pytest.fixture
def shop(live_site: LiveSite) -> SyncShop:
    return create_shop()


@pytest.fixture
def new_phone(live_site: LiveSite) -> Callable[..., SimulatedPhone]:
    """Returns a function that registers a new phone with a member's API key; ids are drawn from `seed`."""

    def make(key: str, *, seed: int = 1, port: int | None = None) -> SimulatedPhone:
        phone = SimulatedPhone(HttpTransport(port or live_site.port, key), random.Random(seed))  # noqa: S311
        assert phone.register().status == 200
        return phone

    return make


@pytest.fixture
def phone(shop: SyncShop, new_phone: Callable[..., SimulatedPhone]) -> SimulatedPhone:
    return new_phone(shop.owner_key)
