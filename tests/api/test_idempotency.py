"""Idempotency keys: one key, one effect, one response."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Receipt
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.api.conftest import PopulatedShop
from tests.factories.crews import Browser, open_crew


@pytest.mark.parametrize("key", ["", "x", "1234"])
def test_write_without_an_idempotency_key_is_refused(own_shop: PopulatedShop, key: str) -> None:
    answer = Browser(own_shop.crew.owner).post("customers", {"id": str(uuid7()), "name": "A"}, key=key)
    assert (answer.status_code, answer.json()["code"]) == (400, "key_missing")


def test_repeated_key_gives_the_same_response(own_shop: PopulatedShop) -> None:
    browser, key, body = Browser(own_shop.crew.owner), uuid7(), {"id": str(uuid7()), "name": "A"}
    first, second = browser.post("customers", body, key=key), browser.post("customers", body, key=key)
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json() == second.json()
    assert second["Idempotency-Replayed"] == "true"
    with in_shop(own_shop.crew.shop_id):
        assert Customer.objects.filter(id=body["id"]).count() == 1
        assert AuditEvent.objects.filter(command_id=key).count() == 1


def test_reused_key_for_another_request_is_refused(own_shop: PopulatedShop) -> None:
    browser, key = Browser(own_shop.crew.owner), uuid7()
    body = {"id": str(uuid7()), "name": "A"}
    assert browser.post("customers", body, key=key).status_code == 201
    for path, other in (("customers", body | {"name": "B"}), (f"customers/{body['id']}/remove", {"id": body["id"]})):
        answer = browser.post(path, other, key=key)
        assert (answer.status_code, answer.json()["code"]) == (422, "key_reused")


def test_refused_request_does_not_use_up_its_key(own_shop: PopulatedShop) -> None:
    browser, key, row_id = Browser(own_shop.crew.owner), uuid7(), str(uuid7())
    assert browser.post("customers", {"id": row_id, "name": ""}, key=key).status_code == 422
    assert browser.post("customers", {"id": row_id, "name": "A"}, key=key).status_code == 201


def test_idempotency_keys_are_per_shop(own_shop: PopulatedShop, other_shop: PopulatedShop) -> None:
    key = uuid7()
    for crew in (own_shop.crew, other_shop.crew):
        answer = Browser(crew.owner).post("customers", {"id": str(uuid7()), "name": "A"}, key=key)
        assert answer.status_code == 201


def test_twenty_concurrent_requests_run_once(committed_db: None) -> None:
    crew, key, body = open_crew(), uuid7(), {"id": str(uuid7()), "name": "A"}
    browsers = [Browser(crew.owner) for _ in range(20)]

    def send(browser: Browser) -> tuple[int, str]:
        try:
            answer = browser.post("customers", body, key=key)
            return answer.status_code, json.dumps(answer.json(), sort_keys=True)
        finally:
            connection.close()

    with ThreadPoolExecutor(20) as pool:
        answers = list(pool.map(send, browsers))
    assert {status for status, _ in answers} == {201}
    assert len({content for _, content in answers}) == 1
    with in_shop(crew.shop_id):
        assert Customer.objects.count() == 1
        assert Receipt.objects.count() == 1
        assert AuditEvent.objects.filter(event="customer added").count() == 1
