"""Permissions of every route and method per role, compared with the table `permission_matrix.txt`."""

from pathlib import Path

import pytest
from django.db import transaction

from shopapi.core.ids import uuid7
from tests.api.conftest import PopulatedShop
from tests.factories.crews import Browser
from tests.structure.test_edge import PUBLIC, routes

TABLE = Path(__file__).with_name("permission_matrix.txt")
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "HEAD", "OPTIONS")
WORD = {401: "no", 403: "no", 405: "-"}


def test_permissions_match_the_matrix(own_shop: PopulatedShop, monkeypatch: pytest.MonkeyPatch) -> None:
    # A refusal is recorded after its request, in a transaction of its own: here all are inside of this test's, which a
    # refusal has ended. `tests/accounts/test_security_events.py` has what is recorded.
    monkeypatch.setattr("shopapi.accounts.api.refusals.record_refused_permission", lambda *_, **__: None)
    crew = own_shop.crew
    browsers = {
        "nobody": Browser(),
        "mechanic": Browser(crew.mechanic),
        "office": Browser(crew.office),
        "owner": Browser(crew.owner),
    }
    lines = []
    for path, _ in routes():
        # Sync and the change list open a snapshot of their own, which a test's transaction has no place for.
        if path in PUBLIC or path == "api/v1/changes" or path.startswith("api/v1/sync/"):
            continue
        for method in METHODS:
            said = []
            for name, browser in browsers.items():
                where = f"/{path}".replace("<uuid:row_id>", str(uuid7()))
                headers = {"Idempotency-Key": str(uuid7())}
                # A refusal of a route without a transaction of its own would end that of this test.
                with transaction.atomic():
                    answer = browser.client.generic(
                        method, where, "{}", content_type="application/json", headers=headers
                    )
                assert answer.status_code < 500, (method, path, name, answer.content)
                if answer.status_code >= 400:
                    assert answer["Content-Type"] == "application/problem+json", (method, path, name)
                if name == "nobody":
                    assert answer.status_code == 401, (method, path)
                said.append(f"{name}:{WORD.get(answer.status_code, 'may')}")
            if not all(word.endswith((":-", "nobody:no")) for word in said):
                lines.append(f"{method:8}{path.removeprefix('api/v1/'):41} {'  '.join(said)}".rstrip())
    found = "\n".join(sorted(lines, key=lambda line: (line[8:50], line[:8]))) + "\n"
    assert found == TABLE.read_text(), "If this is meant, write it into tests/api/permission_matrix.txt:\n" + found
