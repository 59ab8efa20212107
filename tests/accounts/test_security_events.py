"""Sign-ins, their ends and refusals are in the audit trail, with codes alone; no flood makes it grow without end."""

from collections import Counter
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.core.management import call_command
from django.test import Client

from shopapi.accounts.models import AuthenticatorApp, User
from shopapi.accounts.rules import throttling
from shopapi.accounts.rules.security_events import MOST_IN_AN_HOUR, SERVER
from shopapi.accounts.rules.totp import base32
from shopapi.accounts.services.factors import USE
from shopapi.accounts.services.sealing import sealed
from shopapi.core.audit_chain import breaks, heads
from shopapi.core.clock import held_at, now
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from shopapi.sync.services.retention import KeepDays, drop_old_rows
from tests.factories import work
from tests.factories.crews import PASSWORD, Browser, Crew, member_of, open_crew
from tests.sync.direct_push import push

EMAIL = "owner@bench.example"


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def events(shop_id: UUID, event: str) -> list[dict[str, Any]]:
    with in_shop(shop_id):
        return list(AuditEvent.objects.filter(event=event).order_by("no").values_list("details", flat=True))


def sign_in(client: Client, *, password: str = PASSWORD, network: str = "192.0.2.1", **more: str) -> int:
    body = {"email": EMAIL, "password": password, **more}
    return client.post("/api/v1/session", body, content_type="application/json", REMOTE_ADDR=network).status_code


def test_sign_in_and_sign_out_are_recorded_about_the_member(crew: Crew) -> None:
    client = Client()
    assert sign_in(client) == 200
    assert client.delete("/api/v1/session").status_code == 200
    with in_shop(crew.shop_id):
        found = list(AuditEvent.objects.filter(event__startswith="signed").order_by("no"))
    assert [(one.event, one.details) for one in found] == [("signed in", {"code": "password"}), ("signed out", {})]
    assert {(one.subject_kind, one.subject_id, one.member_id) for one in found} == {
        ("member", member_of(crew.owner), member_of(crew.owner))
    }


def test_session_that_ended_without_contact_is_recorded_once(crew: Crew) -> None:
    browser = Browser(crew.owner)
    with held_at(now() + timedelta(days=31)):
        assert [browser.get("customers").status_code for _ in range(2)] == [401, 401]
    assert len(events(crew.shop_id, "session expired")) == 1


def test_limiter_lets_wrong_passwords_through_to_the_trail_and_says_once_that_it_refuses(crew: Crew) -> None:
    answers = Counter(sign_in(Client(), password="a wrong password") for _ in range(30))
    assert answers == {422: throttling.TRIES_IN_WINDOW, 429: 30 - throttling.TRIES_IN_WINDOW}
    codes = Counter(one["code"] for one in events(crew.shop_id, "sign-in refused"))
    assert codes == {"wrong_credentials": throttling.TRIES_IN_WINDOW, "too_many_tries": 1}


def test_wrong_second_step_is_recorded_and_a_missing_one_is_not(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        user = User.objects.get(memberships=member_of(crew.owner))
    AuthenticatorApp.objects.create(user=user, secret=sealed(base32(b"x" * 20), use=USE), confirmed_at=now())
    assert [sign_in(Client()), sign_in(Client(), code="000000")] == [422, 422]
    assert events(crew.shop_id, "sign-in refused") == [{"code": "wrong_code"}]


def test_unknown_addresses_are_in_the_chain_of_the_server_up_to_a_bound(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shopapi.accounts.services.credentials.check_password", lambda *_: False)
    for number in range(MOST_IN_AN_HOUR + 10):
        body = {"email": f"nobody{number}@bench.example", "password": "a wrong password"}
        client = Client(REMOTE_ADDR=f"198.51.100.{number}")
        assert client.post("/api/v1/session", body, content_type="application/json").status_code == 422
    assert events(crew.shop_id, "sign-in refused") == []
    assert events(SERVER, "sign-in refused") == [{"code": "wrong_credentials"}] * MOST_IN_AN_HOUR
    assert heads().keys() == {SERVER, crew.shop_id}
    assert breaks(heads()) == []
    keep = KeepDays(outbox=30, receipts=30, changes=180, commands=180, audit=400)
    assert drop_old_rows(shop_id=SERVER, keep=keep) == {}


def test_an_operator_prints_what_belongs_to_no_shop(crew: Crew, capsys: pytest.CaptureFixture[str]) -> None:
    body = {"email": "stranger@bench.example", "password": PASSWORD}
    assert Client().post("/api/v1/session", body, content_type="application/json").status_code == 422
    call_command("audit", "server")
    [line] = capsys.readouterr().out.splitlines()
    assert line.endswith(' sign-in refused {"code": "wrong_credentials"}')
    call_command("audit", "check")
    assert capsys.readouterr().out == "Every audit trail holds: 2.\n"


def test_refused_permissions_are_recorded_once_for_each_thing(crew: Crew) -> None:
    mechanic = Browser(crew.mechanic)
    row = str(work.a_customer(crew.owner))
    for _ in range(3):
        assert mechanic.get("audit-events").status_code == 403
        assert mechanic.post(f"members/{row}/end", {"id": row}).status_code == 403
    assert mechanic.get(f"customers/{row}").status_code == 200
    assert events(crew.shop_id, "permission refused") == [
        {"code": "forbidden", "of": "GET api/v1/audit-events"},
        {"code": "forbidden", "of": "POST api/v1/members/<uuid:row_id>/end"},
    ]


def test_command_that_a_queue_repeats_is_recorded_once(crew: Crew) -> None:
    wanted = {"id": str(crew.shop_id), "base": {"city": ""}, "set": {"city": "Caldwell"}}
    outcomes = push(crew.mechanic, *[("edit_billing_settings", wanted)] * 3)
    assert [one.code for one in outcomes] == ["forbidden"] * 3
    assert events(crew.shop_id, "permission refused") == [{"code": "forbidden", "of": "edit_billing_settings"}]


def test_question_for_the_password_is_no_refusal(crew: Crew) -> None:
    owner = Browser(crew.owner)
    with held_at(now() + timedelta(minutes=16)):
        assert owner.post("session/recovery-codes", {}).json()["code"] == "proof_needed"
    assert events(crew.shop_id, "permission refused") == []


def test_no_event_names_an_address(crew: Crew) -> None:
    sign_in(Client(), password="a wrong password")
    sign_in(Client())
    Browser(crew.mechanic).get("audit-events")
    for name in ("signed in", "sign-in refused", "permission refused"):
        found = events(crew.shop_id, name)
        assert found
        for details in found:
            assert details.keys() <= {"code", "of"}
            assert not any(told in str(details) for told in ("@", "192.0.2", str(crew.shop_id)))
