"""A shop with people and keys, and phones that reach it."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID, uuid4

import pytest

from shopapi.accounts.rules import FirstShop, NewMember, Role
from shopapi.accounts.services import add_member, make_shop, make_token
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from tests.site import LiveSite
from tests.sync.phone import Phone, Wire

SHOP = "Larkspur Small Engine"
PASSWORD = "five-quiet-tractors"


@dataclass(frozen=True)
class House:
    """A shop of people: the owner's actor, and a key each."""

    owner: Actor
    owner_key: str
    mechanic_id: UUID
    mechanic_key: str

    @property
    def id(self) -> UUID:
        return self.owner.shop_id


def open_house() -> House:
    mark = uuid4().hex[:8]
    owner = make_shop(
        data=FirstShop(
            shop_name=SHOP,
            zone="America/Boise",
            name="Orla Finch",
            email=f"owner-{mark}@larkspur.example",
            password=PASSWORD,
        )
    )
    mechanic = NewMember(
        id=uuid7(),
        name="Milo Reed",
        email=f"mechanic-{mark}@larkspur.example",
        role=Role.MECHANIC,
        password=PASSWORD,
    )
    add_member(actor=owner, data=mechanic)
    assert owner.member_id is not None
    owner_key = make_token(actor=owner, member_id=owner.member_id, label="owner's phone")
    mechanic_key = make_token(actor=owner, member_id=mechanic.id, label="mechanic's phone")
    return House(owner, owner_key, mechanic.id, mechanic_key)


@pytest.fixture
def house(live_site: LiveSite) -> House:
    return open_house()


@pytest.fixture
def phone_of(live_site: LiveSite) -> Callable[..., Phone]:
    """A new, registered phone of the member with a key; each draws its ids from its own seed."""

    def make(key: str, *, seed: int = 1, port: int | None = None) -> Phone:
        phone = Phone(Wire(port or live_site.port, key), random.Random(seed))  # noqa: S311
        assert phone.register().status == 200
        return phone

    return make


@pytest.fixture
def phone(house: House, phone_of: Callable[..., Phone]) -> Phone:
    return phone_of(house.owner_key)
