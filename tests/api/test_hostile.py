"""What cannot be right is refused in words, with the field at fault, and is never an error of ours."""

import json
from typing import Any

import pytest

from shopapi.core.ids import uuid7
from tests.api.conftest import Busy
from tests.factories.crews import Browser, open_crew

LONG = "9" * 5000
BODIES: dict[str, str | bytes] = {
    "unknown field": '{"id": "ID", "name": "A", "shop_id": "ID"}',
    "number for text": '{"id": "ID", "name": 7}',
    "text for yes or no": '{"id": "ID", "name": "A", "archived": "yes"}',
    "NUL": '{"id": "ID", "name": "A\\u0000B"}',
    "lone surrogate": '{"id": "ID", "name": "A\\ud800"}',
    "lone surrogate as a key": '{"id": "ID", "name": "A", "\\ud800": 1}',
    "nothing": "",
    "null": "null",
    "list": "[]",
    "text": '"hello"',
    "half a body": '{"id": ',
    "not UTF-8": b'{"id": "ID", "name": "\xff\xfe"}',
    "NaN": '{"id": "ID", "name": NaN}',
    "deep": "[" * 100_000 + "]" * 100_000,
    "deep under a key": '{"id": "ID", "name": ' + "[" * 900 + "]" * 900 + "}",
    "huge number": f'{{"id": "ID", "name": {LONG}}}',
    "empty name": '{"id": "ID", "name": ""}',
    "long name": '{"id": "ID", "name": "' + "n" * 121 + '"}',
    "ten megabytes": '{"id": "ID", "name": "' + "n" * 10_000_000 + '"}',
    "no id": '{"name": "A"}',
    "bad id": '{"id": "1", "name": "A"}',
}
LINES: dict[str, dict[str, Any]] = {
    "float as money": {"fixed_minor": 10.5},
    "whole float as money": {"fixed_minor": 10.0},
    "text as money": {"fixed_minor": "10"},
    "money beyond any": {"fixed_minor": 10**30},
    "hours as a number": {"kind": "labor", "hours": 1.5},
    "hours as 1e3": {"kind": "labor", "hours": "1e3"},
    "hours as NaN": {"kind": "labor", "hours": "NaN"},
    "hours below nothing": {"kind": "labor", "hours": "-1"},
    "yes for a number": {"fixed_minor": True},
}


def refused(answer: Any, *statuses: int) -> dict[str, Any]:
    """A refusal in the members of RFC 9457, section 3.1, and ours."""
    assert answer.status_code in (statuses or (400, 413, 422)), answer.content[:400]
    assert answer["Content-Type"] == "application/problem+json"
    body: dict[str, Any] = answer.json()
    assert {"type", "title", "status", "detail", "code", "fields", "trace"} <= body.keys()
    assert body["status"] == answer.status_code
    assert body["type"] == f"urn:drawbar:{body['code']}"
    assert body["detail"]
    return body


@pytest.mark.parametrize("what", BODIES)
def test_a_body_that_cannot_be_right(mine: Busy, what: str) -> None:
    body, row_id = BODIES[what], str(uuid7())
    sent = body.replace("ID", row_id) if isinstance(body, str) else body.replace(b"ID", row_id.encode())
    browser = Browser(mine.crew.owner)
    refused(browser.post("customers", sent))
    assert browser.get(f"customers/{row_id}").status_code == 404


@pytest.mark.parametrize("what", LINES)
def test_figures_that_cannot_be_right(mine: Busy, what: str) -> None:
    line = {
        "id": str(uuid7()),
        "quote_id": str(mine.ids["quotes"]),
        "position": 0,
        "kind": "fee",
        "rank": "needed",
        "words": "Fee",
        **LINES[what],
    }
    body = refused(Browser(mine.crew.owner).post("quote-lines", line), 422)
    assert [fault["field"] for fault in body["fields"]] == [next(key for key in LINES[what] if key != "kind")]


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=201",
        "limit=-1",
        "limit=x",
        f"limit={LONG}",
        "limit=1.5",
        "cursor=%00",
        "cursor=zz",
        "cursor=%F0%9F%9A%9C",
        "limit=1&limit=2",
        "nonsense=1",
        "archived=perhaps",
        "changed_since=yesterday",
        "changed_since=2026-01-01T00:00:00",
    ],
)
def test_a_query_that_cannot_be_right(mine: Busy, query: str) -> None:
    refused(Browser(mine.crew.owner).client.get(f"/api/v1/customers?{query}"), 422)


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"])
def test_the_ends_of_time_are_times(mine: Busy, at: str) -> None:
    assert Browser(mine.crew.owner).get("customers", changed_since=at).status_code == 200


@pytest.mark.parametrize("q", ["", " ", "x" * 101, "a\x00b"])
def test_a_search_that_cannot_be_right(mine: Busy, q: str) -> None:
    refused(Browser(mine.crew.owner).get("search", q=q), 422)


@pytest.mark.parametrize("q", ["%", "_", "'", "\\", "--", "a" * 100, "🚜", "%s"])
def test_a_search_takes_every_sign_as_itself(mine: Busy, q: str) -> None:
    assert Browser(mine.crew.owner).get("search", q=q).json() == {"rows": []}


def test_only_json_is_taken(mine: Busy) -> None:
    answer = Browser(mine.crew.owner).client.post(
        "/api/v1/customers", {"name": "A"}, headers={"Idempotency-Key": str(uuid7())}
    )
    assert refused(answer, 415)["code"] == "unsupported_media_type"


def test_an_unknown_path_is_a_problem_too(mine: Busy) -> None:
    for path in ("/api/v1/nothing", "/api/v1/customers/1", "/api/nothing"):
        refused(Browser(mine.crew.owner).client.get(path), 404)


def test_edits_of_unknown_or_hidden_fields_are_refused(mine: Busy) -> None:
    browser, customer = Browser(mine.crew.owner), mine.ids["customers"]
    for field in ("shop_id", "shop", "phone_digits", "id", "created_at", "nonsense"):
        body = {"id": str(customer), "base": {field: "a"}, "set": {field: "b"}}
        assert refused(browser.post(f"customers/{customer}/edit", body), 422)["fields"][0]["field"] == field
    body = {"id": str(customer), "base": {}, "set": {"name": "B"}}
    assert refused(browser.post(f"customers/{customer}/edit", body), 422)["code"] == "base_mismatch"


def test_a_phone_that_pushes_nonsense(committed_db: None) -> None:
    browser = Browser(open_crew().owner)
    for body in ("[]", "{}", '{"device": 1}', json.dumps({"device": str(uuid7()), "build": "x", "commands": "all"})):
        refused(browser.post("sync/push", body), 400, 422)
