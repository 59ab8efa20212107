"""Where customers pay to changes only right after the password or a passkey; the other settings need no signal."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from shopapi.billing.models import BillingSettings
from shopapi.billing.rules.settings import PAID_TO
from shopapi.core.clock import held_at, now
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew
from tests.sync.direct_push import push

# A published example of an IBAN (ISO 13616).
ACCOUNT = {"iban": "DE89370400440532013000", "account_name": "Kettle Ford Small Engine"}
LATER = timedelta(minutes=16)


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def edit(crew: Crew, wanted: dict[str, Any], base: dict[str, Any] | None = None) -> dict[str, Any]:
    return {"id": str(crew.shop_id), "base": base or dict.fromkeys(wanted, ""), "set": wanted}


def stored(crew: Crew) -> BillingSettings:
    with in_shop(crew.shop_id):
        return BillingSettings.objects.get(id=crew.shop_id)


@pytest.mark.parametrize("field", PAID_TO)
def test_pushed_change_without_a_proof_is_rejected_with_what_to_do(crew: Crew, field: str) -> None:
    value = {"payment_url": "https://pay.example/kettle-ford"} | ACCOUNT | {"bic": "COBADEFF"}
    owner = replace(crew.owner, unproved=True)
    wanted = {field: value[field]} | ({} if field == "payment_url" else ACCOUNT)
    (refused,) = push(owner, ("edit_billing_settings", edit(crew, wanted)))
    assert (refused.status, refused.code) == ("rejected", "proof_needed")
    assert "Open “Invoices and payments”" in (refused.words or "")
    assert getattr(stored(crew), field) == ""
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.get(event="permission refused").details == {
            "code": "proof_needed",
            "of": "edit_billing_settings",
        }


def test_pushed_change_after_a_proof_is_applied(crew: Crew) -> None:
    (applied,) = push(crew.owner, ("edit_billing_settings", edit(crew, ACCOUNT)))
    assert applied.status == "applied"
    assert stored(crew).iban == ACCOUNT["iban"]


def test_other_settings_and_an_unchanged_account_need_no_proof(crew: Crew) -> None:
    push(crew.owner, ("edit_billing_settings", edit(crew, ACCOUNT)))
    owner = replace(crew.owner, unproved=True)
    edits = [
        edit(crew, {"payment_days": 30}, {"payment_days": 14}),
        edit(crew, {**ACCOUNT, "city": "Caldwell"}, {**ACCOUNT, "city": ""}),
    ]
    outcomes = push(owner, *(("edit_billing_settings", each) for each in edits))
    assert [one.status for one in outcomes] == ["applied", "applied"]
    assert (stored(crew).payment_days, stored(crew).city) == (30, "Caldwell")


def test_rest_asks_and_takes_it_once_the_password_was_given(crew: Crew) -> None:
    owner, path = Browser(crew.owner), f"billing-settings/{crew.shop_id}/edit"
    with held_at(now() + LATER):
        refused = owner.post(path, edit(crew, ACCOUNT))
        assert (refused.status_code, refused.json()["code"]) == (403, "proof_needed")
        assert owner.post("session/proof", {"password": PASSWORD}).status_code == 204
        assert owner.post(path, edit(crew, ACCOUNT)).status_code == 200
    assert stored(crew).iban == ACCOUNT["iban"]
