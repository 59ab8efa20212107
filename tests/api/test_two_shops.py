"""An id of another shop gets the same 404 as an unknown one, on every route with an id."""

from typing import Any

import pytest
from django.db import transaction

from shopapi.core.ids import uuid7
from tests.api.conftest import PopulatedShop
from tests.factories.crews import Browser
from tests.structure.test_edge import routes

WITH_ID = sorted(
    path.removeprefix("api/v1/")
    for path, _ in routes()
    if path.startswith("api/v1/")
    and "<uuid:row_id>" in path
    and "commands" not in path
    # The former want headers of their own: tests/files asks them for another shop's. The latter are a person's own
    # sessions and passkeys: tests/accounts asks them for another person's.
    and not path.startswith(("api/v1/uploads/", "api/v1/session/"))
)


def answer_to(browser: Browser, route: str, row_id: object) -> Any:
    """Status and body of a route for an id, with the id masked."""
    # A refusal of a view without a transaction of its own rolls back this one, not that of the test.
    with transaction.atomic():
        answer = browser.get(route.replace("<uuid:row_id>", str(row_id)))
    return answer.status_code, answer.content.decode().replace(str(row_id), "ID")


def test_foreign_id_is_not_found(own_shop: PopulatedShop, other_shop: PopulatedShop) -> None:
    """Reading; every command is tried by `tests/sync/test_every_command.py`."""
    browser = Browser(own_shop.crew.owner)
    read = 0
    for route in WITH_ID:
        foreign = answer_to(browser, route, other_shop.ids[route.split("/")[0]])
        assert foreign == answer_to(browser, route, uuid7()), route
        assert foreign[0] in (404, 405), route
        read += foreign[0] == 404
    assert read > 25


def test_lists_hold_only_own_shops_rows(own_shop: PopulatedShop, other_shop: PopulatedShop) -> None:
    browser = Browser(own_shop.crew.owner)
    for resource, own in own_shop.ids.items():
        answer = browser.get(resource)
        assert answer.status_code == 200, resource
        found = {row["id"] for row in answer.json()["rows"]}
        assert str(own) in found, resource
        assert str(other_shop.ids[resource]) not in found, resource


@pytest.mark.parametrize("q", ["Stroud", "0142210", "HV22H-104877", "J-1001"])
def test_search_finds_only_own_shops_rows(own_shop: PopulatedShop, other_shop: PopulatedShop, q: str) -> None:
    found = {row["id"] for row in Browser(own_shop.crew.mechanic).get("search", q=q).json()["rows"]}
    assert found
    assert found <= {str(one) for one in own_shop.ids.values()}


@pytest.mark.parametrize(
    "q", ["Winie Stroud", "Winnie Strod", "winnie stroud", "555-014-2210", "014 2210", "HV22H-10487", "hartvail"]
)
def test_search_tolerates_a_typo(own_shop: PopulatedShop, q: str) -> None:
    found = [row["kind"] for row in Browser(own_shop.crew.mechanic).get("search", q=q).json()["rows"]]
    assert found
    assert found[0] in {"customer", "machine"}


@pytest.mark.parametrize("q", ["Zebedee", "9998887"])
def test_search_without_a_match_is_empty(own_shop: PopulatedShop, q: str) -> None:
    assert Browser(own_shop.crew.mechanic).get("search", q=q).json() == {"rows": []}
