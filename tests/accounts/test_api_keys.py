"""Keys of other programs: made, scoped, ended, never stored as they are."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test import Client

from shopapi.accounts.models import ApiToken
from shopapi.accounts.services import tokens
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import a_customer, do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def make(actor: Actor, *permissions: str, **more: Any) -> tuple[UUID, str]:
    key_id = do(actor, tokens.add_api_key, id=uuid7(), label="Bookkeeping", permissions=permissions, **more).id
    return key_id, tokens.make_key_value(actor=actor, key_id=key_id)


def ask(key: str, path: str = "customers", *, scheme: str = "Bearer", body: Any = None) -> Any:
    headers = {"Authorization": f"{scheme} {key}", "Idempotency-Key": str(uuid7())}
    client = Client(enforce_csrf_checks=True)
    if body is None:
        return client.get(f"/api/v1/{path}", headers=headers)
    return client.post(f"/api/v1/{path}", body, content_type="application/json", headers=headers)


def test_a_key_reads_and_writes_what_it_was_made_for_and_nothing_else(crew: Crew) -> None:
    _, reader = make(crew.owner, "read")
    _, writer = make(crew.owner, "manage_customers")
    new = {"id": str(uuid7()), "name": "From the website"}
    assert ask(reader).status_code == 200
    assert ask(reader, scheme="Token").status_code == 200
    assert ask(reader, "customers", body=new).status_code == 403
    assert ask(writer).status_code == 403
    assert ask(writer, "customers", body=new).status_code == 201
    assert ask(reader, "audit-events").status_code == 403
    assert ask(reader, "members").status_code == 200


def test_a_key_without_costs_sees_none(crew: Crew) -> None:
    _, blind = make(crew.owner, "read")
    _, seeing = make(crew.owner, "read", "see_cost")
    shown = [ask(key, "price-book").json()["rows"][0]["prices"]["part_bands"] for key in (blind, seeing)]
    assert shown[0] == []
    assert shown[1]


def test_a_key_is_shown_once_and_stored_as_a_digest(crew: Crew) -> None:
    browser, key_id = Browser(crew.owner), uuid7()
    made = browser.post("api-keys", {"id": str(key_id), "label": "Website", "permissions": ["read"]})
    assert (made.status_code, made.json()["ready"]) == (201, False)
    value = browser.post(f"api-keys/{key_id}/value", {}).json()["key"]
    row = browser.get(f"api-keys/{key_id}").json()
    assert (row["ready"], row["label"], row["permissions"]) == (True, "Website", ["read"])
    assert value not in str(row)
    with in_shop(crew.shop_id), connection.cursor() as cursor:
        for table in ("accounts_apitoken", "core_receipt", "core_auditevent"):
            cursor.execute(f"SELECT count(*) FROM {table} t WHERE t::text LIKE %s", [f"%{value}%"])
            assert cursor.fetchone() == (0,)
        events = AuditEvent.objects.filter(subject_id=key_id).order_by("at", "id").values_list("event", flat=True)
        assert list(events) == ["api key added", "api key shown"]
    again = browser.post(f"api-keys/{key_id}/value", {}).json()["key"]
    assert (ask(value).status_code, ask(again).status_code) == (401, 200)


def test_a_key_ends_by_itself_or_is_revoked_at_once(crew: Crew) -> None:
    key_id, key = make(crew.owner, "read", expires_at=now() + timedelta(hours=1))
    assert ask(key).status_code == 200
    with in_shop(crew.shop_id):
        ApiToken.objects.filter(id=key_id).update(expires_at=now() - timedelta(hours=1))
    assert ask(key).status_code == 401
    other_id, other = make(crew.owner, "read")
    do(crew.owner, tokens.revoke_api_key, id=other_id)
    assert ask(other).status_code == 401
    with pytest.raises(Conflict) as refused:
        tokens.make_key_value(actor=crew.owner, key_id=other_id)
    assert refused.value.code == "key_is_over"


def test_the_day_of_the_last_use_is_kept(crew: Crew) -> None:
    key_id, key = make(crew.owner, "read")
    days = []
    for _ in range(2):
        with in_shop(crew.shop_id):
            days.append(ApiToken.objects.get(id=key_id).last_used_on)
        ask(key)
    assert days == [None, now().date()]
    with in_shop(crew.shop_id):
        ApiToken.objects.filter(id=key_id).update(last_used_on=date(2020, 1, 1))
    ask("unknown")
    ask(key)
    with in_shop(crew.shop_id):
        assert ApiToken.objects.get(id=key_id).last_used_on == now().date()


@pytest.mark.parametrize(
    ("permissions", "more", "field", "code"),
    [
        (["read", "see_audit"], {}, "permissions", "audit_shows_costs"),
        (["read"], {"expires_at": "2020-01-01T00:00:00Z"}, "expires_at", "key_ends_in_past"),
        (["fly"], {}, "permissions.0", "literal_error"),
        ([], {}, "permissions", "too_short"),
    ],
)
def test_what_makes_no_sense_is_refused_at_its_field(
    crew: Crew, permissions: list[str], more: dict[str, str], field: str, code: str
) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.owner, tokens.add_api_key, id=uuid7(), label="A", permissions=permissions, **more)
    assert [(one.field, one.code) for one in refused.value.fields] == [(field, code)]


def test_a_key_cannot_make_one_that_may_more(crew: Crew) -> None:
    _, key = make(crew.owner, "manage_members")
    body = {"id": str(uuid7()), "label": "More", "permissions": ["manage_members", "bill"]}
    refused = ask(key, "api-keys", body=body)
    assert (refused.status_code, refused.json()["fields"][0]["code"]) == (422, "key_beyond_own")
    assert ask(key, "api-keys", body=body | {"permissions": ["manage_members"]}).status_code == 201
    # Nor show one that was made by somebody who may more.
    wide, _ = make(crew.owner, "read", "bill")
    refused = ask(key, f"api-keys/{wide}/value", body={})
    assert (refused.status_code, refused.json()["fields"][0]["code"]) == (422, "key_beyond_own")


def test_a_key_never_reaches_another_shop(crew: Crew) -> None:
    other = open_crew("Other Yard")
    a_customer(other.owner, name="Theirs")
    _, key = make(crew.owner, "read")
    assert ask(key).json()["rows"] == []


def test_office_and_mechanics_make_no_keys(crew: Crew) -> None:
    for actor in (crew.office, crew.mechanic):
        body = {"id": str(uuid7()), "label": "A", "permissions": ["read"]}
        assert Browser(actor).post("api-keys", body).status_code == 403
