"""After a membership ended or a phone was signed off, its session may only push its queue."""

from typing import Any
from urllib.parse import urlsplit

import pytest

from shopapi.accounts.models import Device
from shopapi.accounts.queries import SIGNED_IN_AT
from shopapi.accounts.services.devices import revoke_device
from shopapi.accounts.services.members import end_membership
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.notices.models import Notice, PushSubscription
from shopapi.notices.queries import live_subscriptions, members_with_push
from shopapi.notices.services.delivery import begin_attempt
from shopapi.sync.models import LoggedCommand
from tests.factories.crews import PASSWORD, Browser, Crew, device_of, member_of, open_crew
from tests.structure.test_edge import PUBLIC, routes

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "HEAD")
SYNC_ROUTES = {("POST", "api/v1/sync/push"), ("GET", "api/v1/sync/pull"), ("GET", "api/v1/sync/snapshot")}
EMAIL = "mechanic@bench.example"


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def phone_of(crew: Crew) -> Browser:
    """The mechanic's phone, which has synced once."""
    phone = Browser(crew.mechanic)
    assert phone.get("sync/snapshot", device=str(crew.mechanic.device_id)).status_code == 200
    assert phone.get("customers").status_code == 200
    return phone


def end_access(crew: Crew, how: str) -> None:
    member_id, device_id = crew.mechanic.member_id, crew.mechanic.device_id
    assert member_id is not None
    assert device_id is not None
    if how == "left":
        end_membership(actor=crew.owner, data=Target(id=member_id))
    else:
        revoke_device(actor=crew.owner, data=Target(id=device_id))


def push(phone: Browser, device: object, *names: str) -> Any:
    """Push customers as the mechanic's phone does."""
    commands = [
        {
            "id": str(uuid7()),
            "no": no,
            "name": "add_customer",
            "wall": now().isoformat(),
            "args": {"id": str(uuid7()), "name": name},
        }
        for no, name in enumerate(names, 1)
    ]
    return phone.post("sync/push", {"device": str(device), "sent_wall": now().isoformat(), "commands": commands})


def customers(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        return list(Customer.objects.values_list("name", flat=True))


@pytest.mark.parametrize("how", ["left", "signed off"])
def test_signed_off_session_reaches_only_sync_routes(crew: Crew, how: str) -> None:
    phone = phone_of(crew)
    end_access(crew, how)
    passed = set()
    for path, _ in routes():
        if path in PUBLIC:
            continue
        where = f"/{path}".replace("<uuid:row_id>", str(uuid7())).replace("<uuid:command_id>", str(uuid7()))
        for method in METHODS:
            answer = phone.client.generic(
                method, where, "{}", content_type="application/json", headers={"Idempotency-Key": str(uuid7())}
            )
            if answer.status_code not in (401, 403, 405):
                passed.add((method, path))
    assert passed - {("HEAD", path) for _, path in SYNC_ROUTES} == SYNC_ROUTES


@pytest.mark.parametrize("how", ["left", "signed off"])
def test_signed_off_phone_can_push_its_queue_and_then_gets_410(crew: Crew, how: str) -> None:
    phone = phone_of(crew)
    device = str(crew.mechanic.device_id)
    end_access(crew, how)
    assert phone.get("sync/pull", device=device, cursor="").status_code == 410
    assert phone.get("sync/snapshot", device=device).status_code == 410
    answer = push(phone, device, "Written on the road", "Written on the hill")
    assert answer.status_code == 200
    assert [(result["status"], result["code"]) for result in answer.json()["results"]] == [
        ("held", "device_retired")
    ] * 2
    assert push(phone, device).status_code == 410
    assert customers(crew) == []
    with in_shop(crew.shop_id):
        kept = LoggedCommand.objects.order_by("no")
        assert [(one.status, one.args["name"]) for one in kept] == [
            ("held", "Written on the road"),
            ("held", "Written on the hill"),
        ]


def test_signed_off_session_cannot_register_or_use_another_device(crew: Crew) -> None:
    phone, other = phone_of(crew), Browser(crew.mechanic)
    second, third = str(uuid7()), str(uuid7())
    assert other.post("sync/devices", {"id": second}).status_code == 200
    end_access(crew, "signed off")
    assert phone.post("sync/devices", {"id": third}).status_code == 403
    assert phone.post("sync/devices", {"id": second}).status_code == 403
    assert push(phone, second, "Under the other phone's name").status_code == 404
    assert phone.get("sync/pull", device=second, cursor="").status_code == 403
    # The same member's other phone stays signed in, and its numbers are its own.
    assert other.get("customers").status_code == 200
    assert push(other, second, "Wilma Stroud").json()["results"][0]["status"] == "applied"
    assert customers(crew) == ["Wilma Stroud"]


def test_signing_off_a_device_signs_off_its_session(crew: Crew) -> None:
    """A stolen cookie cannot be kept valid by registering another device with it beforehand."""
    phone = phone_of(crew)
    spare = str(uuid7())
    assert phone.post("sync/devices", {"id": spare}).status_code == 200
    end_access(crew, "signed off")
    assert phone.get("customers").status_code == 403
    assert phone.get("sync/pull", device=spare, cursor="").status_code == 403
    assert push(phone, spare, "By the spare device").status_code == 404


def test_every_sync_route_binds_the_session_to_its_device(crew: Crew) -> None:
    device = str(crew.mechanic.device_id)
    by_pull, by_push, by_registering = (Browser(crew.mechanic) for _ in range(3))
    assert by_pull.get("sync/pull", device=device, cursor="").status_code == 200
    assert push(by_push, device).status_code == 200
    assert by_registering.post("sync/devices", {"id": device}).status_code == 200
    end_access(crew, "signed off")
    assert [one.get("customers").status_code for one in (by_pull, by_push, by_registering)] == [403] * 3
    with in_shop(crew.shop_id):
        assert len(set(Device.objects.get(id=device).sign_ins)) == 3


def test_new_sign_in_leaves_the_old_session_signed_off(crew: Crew) -> None:
    phone = phone_of(crew)
    device = str(crew.mechanic.device_id)
    end_access(crew, "signed off")
    old = dict(phone.client.cookies)
    state = phone.post("session", {"email": EMAIL, "password": PASSWORD}).json()
    assert "read" in state["permissions"]
    assert phone.get("customers").status_code == 200
    # The old device's queue is still held for the owner.
    assert push(phone, device, "Before the password").json()["results"][0]["status"] == "held"
    left = Browser()
    for name, morsel in old.items():
        left.client.cookies[name] = morsel.value
    assert left.get("customers").status_code in (401, 403)


def test_session_without_a_device_is_signed_off_with_any_device(crew: Crew) -> None:
    """It may run on the lost phone."""
    unbound, before_this_was_noted, other = Browser(), Browser(crew.owner), Browser(crew.owner)
    body = {"email": "owner@bench.example", "password": PASSWORD}
    assert unbound.post("session", body).status_code == 200
    noted = before_this_was_noted.client.session
    del noted[SIGNED_IN_AT]
    noted.save()
    second = str(uuid7())
    assert other.post("sync/devices", {"id": second}).status_code == 200
    assert [one.get("members").status_code for one in (unbound, before_this_was_noted, other)] == [200] * 3
    assert crew.owner.device_id is not None
    revoke_device(actor=crew.owner, data=Target(id=crew.owner.device_id))
    for one in (unbound, before_this_was_noted):
        assert one.get("members").status_code == 403
        assert one.client.get("/admin/").status_code == 302
        person = {"id": str(uuid7()), "name": "A", "email": "a@a.example", "role": "owner"}
        assert one.post("invitations", person).status_code == 403
        assert one.post("sync/devices", {"id": str(uuid7())}).status_code == 403
        # Naming a phone that is still in use does not open it again.
        for path in ("sync/pull", "sync/snapshot"):
            assert one.get(path, device=second, cursor="").status_code == 403
        assert push(one, second, "Under the other phone's name").status_code == 404
        assert one.get("members").status_code == 403
    # A session of another phone goes on, and the password opens a new one.
    assert other.get("members").status_code == 200
    assert unbound.post("session", body).status_code == 200
    assert unbound.get("members").status_code == 200


def test_password_change_keeps_the_session_bound_to_its_device(crew: Crew) -> None:
    phone = phone_of(crew)
    body = {"old": PASSWORD, "new": "another long password"}
    assert phone.post("session/password", body).status_code == 200
    end_access(crew, "signed off")
    assert phone.get("customers").status_code == 403


def test_admin_is_closed_to_a_signed_off_phone(crew: Crew) -> None:
    phone = Browser(crew.owner)
    assert phone.get("sync/snapshot", device=str(crew.owner.device_id)).status_code == 200
    assert phone.client.get("/admin/").status_code == 200
    assert crew.owner.device_id is not None
    revoke_device(actor=crew.owner, data=Target(id=crew.owner.device_id))
    assert phone.client.get("/admin/").status_code == 302


def test_signing_off_a_phone_revokes_the_members_calendar_links(crew: Crew) -> None:
    """Each phone of a member can read the address of all their calendars."""
    phone, other = phone_of(crew), Browser(crew.mechanic)
    assert phone.post("sync/devices", {"id": str(uuid7())}).status_code == 200
    assert other.post("sync/devices", {"id": str(uuid7())}).status_code == 200
    without_device = Browser(crew.mechanic)
    feeds, addresses = [], []
    for one in (phone, other, without_device):
        feeds.append(str(uuid7()))
        assert one.post("calendar-feeds", {"id": feeds[-1]}).status_code == 201
        addresses.append(urlsplit(phone.get(f"calendar-feeds/{feeds[-1]}/address").json()["url"]).path)
    assert [Browser().client.get(each).status_code for each in addresses] == [200] * 3
    end_access(crew, "signed off")
    assert [Browser().client.get(each).status_code for each in addresses] == [404] * 3
    rows = {row["id"]: row["revoked_at"] for row in other.get("calendar-feeds").json()["rows"]}
    assert all(rows[each] is not None for each in feeds)
    assert other.get(f"calendar-feeds/{feeds[1]}/address").status_code == 409
    # A new one is open.
    fresh = str(uuid7())
    assert other.post("calendar-feeds", {"id": fresh}).json()["revoked_at"] is None
    address = urlsplit(other.get(f"calendar-feeds/{fresh}/address").json()["url"]).path
    assert Browser().client.get(address).status_code == 200


def test_signing_off_a_phone_stops_push_to_its_sessions_devices(crew: Crew) -> None:
    phone, other = phone_of(crew), Browser(crew.mechanic)
    spare, second = str(uuid7()), str(uuid7())
    assert phone.post("sync/devices", {"id": spare}).status_code == 200
    assert other.post("sync/devices", {"id": second}).status_code == 200
    with in_shop(crew.shop_id):
        for device_id in (spare, second):
            PushSubscription.objects.create(
                shop_id=crew.shop_id,
                member_id=member_of(crew.mechanic),
                device_id=device_id,
                endpoint=f"https://push.example/{device_id}",
                p256dh="key",
                auth="auth",
            )
        live = live_subscriptions(crew.owner).values_list("device_id", flat=True)
        assert {str(device_id) for device_id in live} == {spare, second}
    end_access(crew, "signed off")
    with in_shop(crew.shop_id):
        assert [str(device_id) for device_id in live_subscriptions(crew.owner).values_list("device_id", flat=True)] == [
            second
        ]


@pytest.mark.parametrize("how", ["left", "signed off"])
def test_calendar_link_and_push_stop_with_the_membership(crew: Crew, how: str) -> None:
    phone = phone_of(crew)
    feed, subscription = str(uuid7()), uuid7()
    assert phone.post("calendar-feeds", {"id": feed}).status_code == 201
    address = urlsplit(phone.get(f"calendar-feeds/{feed}/address").json()["url"]).path
    assert Browser().client.get(address).status_code == 200
    with in_shop(crew.shop_id):
        PushSubscription.objects.create(
            id=subscription,
            shop_id=crew.shop_id,
            member_id=member_of(crew.mechanic),
            device_id=device_of(crew.mechanic),
            endpoint="https://push.example/mechanic",
            p256dh="key",
            auth="auth",
        )
        assert [member_id for member_id, _ in members_with_push(crew.owner)] == [crew.mechanic.member_id]
    end_access(crew, how)
    assert Browser().client.get(address).status_code == 404
    with in_shop(crew.shop_id):
        assert members_with_push(crew.owner) == []
        notice = Notice.objects.create(
            shop_id=crew.shop_id,
            channel="push",
            address=str(crew.mechanic.member_id),
            template="customer_asked",
            body_words="Somebody asks back.",
            about_kind="quote",
            about_id=uuid7(),
            dedupe_key="once",
        )
        begun = begin_attempt(actor=crew.owner, notice_id=notice.id)
        assert begun is not None
        assert begun.outbound.endpoints == ()
