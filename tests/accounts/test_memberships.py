"""A membership ends at once: what it may still do, what its phone still hands in, and how it is taken back."""

from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.models import ApiToken, Device, Member
from shopapi.accounts.rules import NewDevice, NewMember, Role
from shopapi.accounts.services import (
    add_member,
    end_membership,
    make_token,
    register_device,
    resume_membership,
    revoke_device,
)
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Forbidden, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.shape import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.models import LoggedCommand
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew
from tests.factories.rigs import a_rig


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def of(crew: Crew, model: Any, **which: object) -> Any:
    with in_shop(crew.shop_id):
        return model.objects.get(**which)


def verb(browser: Browser, crew: Crew, name: str) -> Any:
    """End or resume the mechanic's membership over REST."""
    member = str(crew.mechanic.member_id)
    return browser.post(f"members/{member}/{name}", {"id": member})


def written(crew: Crew, browser: Browser, no: int, name: str) -> Any:
    """A customer written down on the mechanic's phone, as the phone sends it."""
    stamp = {"wall": now().isoformat(), "mono_ms": 0, "session": str(uuid7())}
    command = {
        "id": str(uuid7()),
        "no": no,
        "name": "add_customer",
        "v": 1,
        "args": {"id": str(uuid7()), "name": name},
        **stamp,
    }
    body = {"device": str(crew.mechanic.device_id), "sent_wall": now().isoformat(), "commands": [command]}
    return browser.post("sync/push", body)


def test_whose_membership_has_ended_sees_nothing_more_and_hands_in_what_the_phone_holds(crew: Crew) -> None:
    mechanic, owner = Browser(crew.mechanic), Browser(crew.owner)
    key = {
        "headers": {
            "Authorization": f"Token {make_token(actor=crew.owner, member_id=crew.mechanic.member_id, label='Shelf')}"
        }
    }
    assert written(crew, mechanic, 1, "Sent before").status_code == 200
    assert mechanic.client.get("/api/v1/customers", **key).status_code == 200

    ended = verb(owner, crew, "end")
    assert (ended.status_code, ended.json()["active"]) == (200, False)

    state = mechanic.get("session").json()
    assert (state["member"]["active"], state["shop"], state["permissions"]) == (False, None, ["hand_in"])
    for path in ("customers", "jobs", "members", "search", "sync/commands/" + str(uuid7()), "reports/week"):
        assert mechanic.get(path).status_code in (403, 404), path
    assert mechanic.post("customers", {"id": str(uuid7()), "name": "After"}).status_code == 403
    assert Browser().client.get("/api/v1/customers", **key).status_code == 401
    device = {"device": str(crew.mechanic.device_id)}
    assert mechanic.get("sync/pull", **device, cursor="").status_code == 410
    assert mechanic.get("sync/snapshot", **device).status_code == 410
    # What was written before the phone heard of it is not lost: the owner looks at it.
    kept = written(crew, mechanic, 2, "Written on the road")
    assert (kept.status_code, kept.json()["code"]) == (410, "retired")
    assert of(crew, LoggedCommand, no=2, device=crew.mechanic.device_id).status == "held"
    with in_shop(crew.shop_id):
        assert list(Customer.objects.values_list("name", flat=True)) == ["Sent before"]
    # Nor does the password open anything, and no new phone is made known.
    again = Browser().post("session", {"email": "mechanic@bench.example", "password": PASSWORD})
    assert (again.status_code, again.json()["code"]) == (403, "membership_ended")
    assert mechanic.post("sync/devices", {"device": str(uuid7()), "label": "New"}).status_code == 403
    assert of(crew, AuditEvent, event="membership ended").member_id == crew.owner.member_id


def test_a_shop_keeps_an_owner(crew: Crew) -> None:
    with pytest.raises(Conflict) as refused, in_shop(crew.shop_id):
        end_membership(actor=crew.owner, data=Target(id=crew.owner.member_id))
    assert refused.value.code == "last_owner"
    with in_shop(crew.shop_id):
        second = NewMember(id=uuid7(), name="Bo", email="bo@bench.example", role=Role.OWNER, password=PASSWORD)
        add_member(actor=crew.owner, data=second)
        end_membership(actor=crew.owner, data=Target(id=crew.owner.member_id))
        assert not Member.objects.get(id=crew.owner.member_id).active
    # The one who is left cannot be ended by a phone that was slow to hear of it.
    with pytest.raises(Conflict), in_shop(crew.shop_id):
        end_membership(actor=crew.owner, data=Target(id=second.id))


def test_only_the_owner_ends_a_membership_and_only_of_this_shop(crew: Crew) -> None:
    for actor in (crew.office, crew.mechanic):
        with pytest.raises(Forbidden), in_shop(crew.shop_id):
            end_membership(actor=actor, data=Target(id=crew.mechanic.member_id))
    other = open_crew("Willow Repair")
    with pytest.raises(NotFound), in_shop(crew.shop_id):
        end_membership(actor=crew.owner, data=Target(id=other.mechanic.member_id))


def test_a_member_taken_back_works_on_with_the_phone_at_hand_but_not_with_one_that_was_lost(crew: Crew) -> None:
    member: UUID = crew.mechanic.member_id
    owner, mechanic = Browser(crew.owner), Browser(crew.mechanic)
    with in_shop(crew.shop_id):
        lost = register_device(actor=crew.mechanic, data=NewDevice(id=uuid7(), label="Lost"))
        revoke_device(actor=crew.owner, data=Target(id=lost.id))
    make_token(actor=crew.owner, member_id=member, label="Shelf")
    assert verb(owner, crew, "end").status_code == 200
    taken_back = verb(owner, crew, "resume")
    assert (taken_back.status_code, taken_back.json()["active"]) == (200, True)
    assert mechanic.get("customers").status_code == 200
    assert written(crew, mechanic, 1, "After coming back").status_code == 200
    assert of(crew, Device, id=crew.mechanic.device_id).revoked_at is None
    assert of(crew, Device, id=lost.id).revoked_at is not None
    assert of(crew, ApiToken, member=member).revoked_at is not None


def test_ending_or_resuming_twice_changes_nothing_more(crew: Crew) -> None:
    target = Target(id=crew.mechanic.member_id)
    with in_shop(crew.shop_id):
        rig = a_rig(crew.owner, driver_id=crew.mechanic.member_id)
        first = end_membership(actor=crew.owner, data=target).ended_at
        assert end_membership(actor=crew.owner, data=target).ended_at == first
        for _ in range(2):
            resume_membership(actor=crew.owner, data=target)
        assert AuditEvent.objects.filter(event__startswith="membership").count() == 2
    assert rig
