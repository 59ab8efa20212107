"""What is left of every route to whose membership has ended: handing in what the phone holds."""

from typing import Any

import pytest

from shopapi.accounts.services import end_membership
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.shape import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.models import LoggedCommand
from tests.factories.crews import Browser, Crew, open_crew
from tests.structure.test_edge import PUBLIC, doors

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "HEAD")
HANDING_IN = {("POST", "api/v1/sync/push"), ("GET", "api/v1/sync/pull"), ("GET", "api/v1/sync/snapshot")}


@pytest.fixture
def crew(committed_db: None) -> Crew:
    crew = open_crew()
    assert crew.mechanic.member_id is not None
    with in_shop(crew.shop_id):
        end_membership(actor=crew.owner, data=Target(id=crew.mechanic.member_id))
    return crew


def push(crew: Crew, name: str) -> Any:
    """A customer written down on the mechanic's phone after the end, sent as the phone sends it."""
    written = {"id": str(uuid7()), "no": 1, "name": "add_customer", "v": 1, "wall": now().isoformat()}
    command = {**written, "mono_ms": 0, "session": str(uuid7()), "args": {"id": str(uuid7()), "name": name}}
    body = {"device": str(crew.mechanic.device_id), "sent_wall": now().isoformat(), "commands": [command]}
    return Browser(crew.mechanic).post("sync/push", body)


def test_a_leaver_passes_no_door_but_that_of_handing_in(crew: Crew) -> None:
    leaver = Browser(crew.mechanic)
    passed = set()
    for path, _ in doors():
        if path in PUBLIC:
            continue
        where = f"/{path}".replace("<uuid:row_id>", str(uuid7())).replace("<uuid:command_id>", str(uuid7()))
        for method in METHODS:
            answer = leaver.client.generic(
                method, where, "{}", content_type="application/json", headers={"Idempotency-Key": str(uuid7())}
            )
            if answer.status_code not in (401, 403, 405):
                passed.add((method, path))
    assert passed - {("HEAD", path) for _, path in HANDING_IN} == HANDING_IN


def test_what_a_leavers_phone_still_holds_is_kept_and_the_phone_is_told_to_forget(crew: Crew) -> None:
    leaver = Browser(crew.mechanic)
    device = str(crew.mechanic.device_id)
    assert leaver.get("sync/pull", device=device, cursor="").status_code == 410
    assert leaver.get("sync/snapshot", device=device).status_code == 410
    assert push(crew, "Written on the road").status_code == 410
    with in_shop(crew.shop_id):
        assert not Customer.objects.exists()
        (kept,) = LoggedCommand.objects.all()
        assert (kept.status, kept.args["name"]) == ("held", "Written on the road")
