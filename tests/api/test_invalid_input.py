"""Invalid input gets a problem response that names the field, never a server error."""

import json
from collections.abc import Iterator
from typing import Annotated, Any, get_args
from urllib.parse import quote

import pytest
from django.test import Client
from pydantic import TypeAdapter, ValidationError

from shopapi.accounts.rules import Acceptance, FirstShop, NewInvitation, PasswordChange
from shopapi.core.ids import uuid7
from shopapi.core.schema import Schema
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.quotes.rules.approval_requests import Answer, Question
from shopapi.sync.api.views import MAX_PAGE_BYTES, MIN_PAGE_BYTES
from shopapi.sync.services.catalog import COMMANDS
from tests.api.conftest import PopulatedShop, create_populated_shop
from tests.factories.crews import Browser, open_crew

LONG = "9" * 5000
INVALID_BODIES: dict[str, str | bytes] = {
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
INVALID_LINES: dict[str, dict[str, Any]] = {
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


def assert_problem(answer: Any, *statuses: int) -> dict[str, Any]:
    """Check that a response is a problem document (RFC 9457, section 3.1, and our members)."""
    assert answer.status_code in (statuses or (400, 413, 422)), answer.content[:400]
    assert answer["Content-Type"] == "application/problem+json"
    body: dict[str, Any] = answer.json()
    assert {"type", "title", "status", "detail", "code", "fields", "trace"} <= body.keys()
    assert body["status"] == answer.status_code
    assert body["type"] == f"urn:drawbar:{body['code']}"
    assert body["detail"]
    return body


@pytest.mark.parametrize("what", INVALID_BODIES)
def test_invalid_body_is_refused(own_shop: PopulatedShop, what: str) -> None:
    body, row_id = INVALID_BODIES[what], str(uuid7())
    sent = body.replace("ID", row_id) if isinstance(body, str) else body.replace(b"ID", row_id.encode())
    browser = Browser(own_shop.crew.owner)
    assert_problem(browser.post("customers", sent))
    assert browser.get(f"customers/{row_id}").status_code == 404


@pytest.mark.parametrize("what", INVALID_LINES)
def test_invalid_numbers_are_refused(own_shop: PopulatedShop, what: str) -> None:
    line = {
        "id": str(uuid7()),
        "quote_id": str(own_shop.ids["quotes"]),
        "position": 0,
        "kind": "fee",
        "rank": "needed",
        "words": "Fee",
        **INVALID_LINES[what],
    }
    body = assert_problem(Browser(own_shop.crew.owner).post("quote-lines", line), 422)
    assert [fault["field"] for fault in body["fields"]] == [next(key for key in INVALID_LINES[what] if key != "kind")]


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
        "order=random",
        "created_at_from=2026-01-01",
        "nonsense=1",
        "archived=perhaps",
        "changed_since=yesterday",
        "changed_since=2026-01-01T00:00:00",
    ],
)
def test_invalid_query_is_refused(own_shop: PopulatedShop, query: str) -> None:
    assert_problem(Browser(own_shop.crew.owner).client.get(f"/api/v1/customers?{query}"), 400)


# Values to try for a parameter of each type, valid or not: by `type` and `format` of the OpenAPI document.
EDGE_VALUES = [
    "",
    "\0",
    "a\0b",
    "\udc00",
    "\ud800\udc00",
    "n" * 100_000,
    "'\"\\;--",
    "%",
    "\u202e\ufeff\u2028",
    "e\u0301" * 50,
    "𝟙",
]
PARAMETERS = {
    "integer": [
        "-1",
        "+5",
        " 5",
        "5_000",
        "٣",
        "0x10",
        "1e3",
        "10000.0",
        "9" * 30,
        "9" * 5000,
        str(2**63),
        str(-(2**63)),
    ],
    "number": ["NaN", "Infinity", "1e999"],
    "boolean": ["2", "TRUE", "ｔｒｕｅ"],
    "uuid": ["0" * 32, "{" + "0" * 32 + "}", "urn:uuid:" + "0" * 32],
    "date": ["0001-01-01", "9999-12-31", "2026-02-30", "2026-W01-1", "+10000-01-01"],
    "date-time": ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-01-01", "1e18", "-1"],
}
VALID_VALUES = {
    "integer": "20000",
    "uuid": "0" * 32,
    "date": "2026-05-05",
    "date-time": "2026-05-05T00:00:00Z",
    "boolean": "true",
}


def parameter_type(parameter: dict[str, Any]) -> str:
    schema = parameter["schema"]
    return str(schema.get("format") or schema.get("type") or "string")


def url_quoted(value: str) -> str:
    """Percent-encoded UTF-8, lone surrogates too."""
    return quote(value, safe="", errors="surrogatepass")


def tried_values(parameter: dict[str, Any]) -> list[str]:
    """Of the bounds in time, which every list has and one function makes, only those of a time and a NUL."""
    own = PARAMETERS.get(parameter_type(parameter), [])
    bounds_time = parameter["name"].endswith(("_from", "_until", "_before"))
    return ["a\0b", own[0]] if bounds_time else EDGE_VALUES + own


def urls_of(document: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every operation with each of its parameters set to each edge value: method and URL."""
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            parameters = [one for one in operation.get("parameters", []) if one["in"] in {"path", "query"}]
            right = {
                one["name"]: VALID_VALUES.get(parameter_type(one), "a") for one in parameters if one.get("required")
            }
            for odd in parameters:
                for value in tried_values(odd):
                    values = {name: url_quoted(given) for name, given in right.items()} | {
                        odd["name"]: url_quoted(value)
                    }
                    names = {one["name"] for one in parameters if one["in"] == "path"}
                    query = "&".join(f"{name}={given}" for name, given in values.items() if name not in names)
                    yield method, path.format_map({name: values[name] for name in names}) + "?" + query
            if not parameters:
                yield method, f"{path}?unasked=%00"


def test_no_url_causes_a_server_error(committed_db: None) -> None:
    """Every parameter of every operation, as the OpenAPI document names them."""
    browser = Browser(create_populated_shop("Bench & Bar").crew.owner)
    document = Client().get("/api/v1/openapi.json").json()
    asked = [(method, address) for method, address in urls_of(document) if not address.startswith("/api/v1/session")]
    assert len(asked) > 2000
    failed = []
    for method, address in asked:
        answer = browser.client.generic(
            method.upper(), address, "{}", content_type="application/json", headers={"Idempotency-Key": str(uuid7())}
        )
        if answer.status_code >= 500 or (b"%00" in address.encode() and answer.status_code not in {400, 404}):
            failed.append((method, address[:120], answer.status_code))
    assert failed == []


@pytest.mark.parametrize(
    "path",
    [
        "notices?address=a%00",
        "work-histories?operation=%00",
        "work-histories?machine_kind=%00",
        "notices?about_kind=%00",
    ],
)
def test_unstorable_query_value_names_its_field(own_shop: PopulatedShop, path: str) -> None:
    body = assert_problem(Browser(own_shop.crew.owner).client.get(f"/api/v1/{path}"), 400)
    assert [(fault["field"], fault["code"]) for fault in body["fields"]] == [
        (path.partition("?")[2].partition("=")[0], "unstorable_text")
    ]


def schemas_within(kind: Any) -> Iterator[type[Schema]]:
    """A schema and all that stand in its fields."""
    if isinstance(kind, type) and issubclass(kind, Schema):
        yield kind
        for field in kind.model_fields.values():
            yield from schemas_within(field.annotation)
    for part in get_args(kind):
        yield from schemas_within(part)


def test_every_text_field_refuses_unstorable_characters() -> None:
    others = [FirstShop, NewInvitation, Acceptance, PasswordChange, Answer, Question]
    sent = [command.schema for command in COMMANDS.values()] + others
    schemas = {schema for one in sent for schema in schemas_within(one)}
    assert len(schemas) > 60
    taken = []
    for schema in schemas:
        for name, field in schema.model_fields.items():
            kind: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
            for value in ("\0", ["\0"]):
                try:
                    TypeAdapter(kind).validate_python(value)
                except ValidationError:
                    continue
                taken.append((schema.__name__, name))
    assert taken == []


def test_unstorable_input_outside_the_api(db: None) -> None:
    for path, status in (
        ("/ask/a%00b", 404),
        ("/ask/ab?x=%00", 400),
        ("/calendar/x%00/y.ics", 404),
        ("/?%00", 400),
        ("/admin/?q=%00", 400),
    ):
        assert Client(raise_request_exception=False).get(path).status_code == status, path


def test_too_many_parameters_are_a_problem_response(own_shop: PopulatedShop) -> None:
    query = "&".join(f"a{n}=1" for n in range(2000))
    assert_problem(Browser(own_shop.crew.owner).client.get(f"/api/v1/customers?{query}"), 400)


@pytest.mark.parametrize(
    "text",
    [
        "9999",
        str(MAX_PAGE_BYTES + 1),
        "000000100000" + "9" * 12,
        "0" * 4000 + "1",
        "9" * 5000,
        "٣٣٣٣٣٣",
        "-20000",
        "+20000",
        "2e5",
        "20000.0",
        "",
        " 20000",
    ],
)
def test_page_size_digits_are_ascii(committed_db: None, text: str) -> None:
    crew = open_crew()
    body = assert_problem(
        Browser(crew.owner).get("sync/pull", device=crew.owner.device_id, cursor="0", max_bytes=text), 400
    )
    assert [fault["field"] for fault in body["fields"]] == ["max_bytes"]


def test_page_respects_its_limit(committed_db: None) -> None:
    """Many small commits; removed rows count as well."""
    crew = open_crew()
    browser = Browser(crew.owner)
    cursor = browser.get("sync/snapshot", device=crew.owner.device_id).json()["cursor"]
    for _ in range(40):
        with in_shop(crew.shop_id):
            Customer.objects.create(shop_id=crew.shop_id, name="Größe", notes="ü" * 100)
    with in_shop(crew.shop_id):
        short_lived = [Customer.objects.create(shop_id=crew.shop_id, name="Gone").id for _ in range(250)]
    for customer_id in short_lived:
        with in_shop(crew.shop_id):
            Customer.objects.filter(id=customer_id).delete()
    pages, more = 0, True
    while more:
        answer = browser.get("sync/pull", device=crew.owner.device_id, cursor=cursor, max_bytes=MIN_PAGE_BYTES)
        # Beside the rows stand the cursor, the acknowledged numbers and the time.
        assert len(answer.content) <= MIN_PAGE_BYTES + 500
        cursor, more, pages = answer.json()["cursor"], answer.json()["more"], pages + 1
    assert pages >= 2


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"])
def test_extreme_dates_are_refused(own_shop: PopulatedShop, at: str) -> None:
    assert_problem(Browser(own_shop.crew.owner).get("customers", changed_since=at), 400)


@pytest.mark.parametrize("offset", ["-23:34", "+23:59", "+16:00", "-15:59"])
def test_every_offset_of_an_instant_is_read(own_shop: PopulatedShop, offset: str) -> None:
    """RFC 3339, section 5.6: up to 23:59; PostgreSQL itself reads less than 16 hours (both as Schemathesis found)."""
    browser = Browser(own_shop.crew.owner)
    assert browser.get("stops", notified_from_from=f"2026-05-12T12:00:00{offset}").status_code == 200
    job = str(own_shop.ids["jobs"])
    clock = {"id": str(uuid7()), "kind": "repair", "job_id": job, "started_at": f"2026-05-11T12:00:00{offset}"}
    assert browser.post("time-entries", clock).status_code in {201, 422}


@pytest.mark.parametrize("q", ["", " ", "x" * 101, "a\x00b"])
def test_invalid_search_is_refused(own_shop: PopulatedShop, q: str) -> None:
    assert_problem(Browser(own_shop.crew.owner).get("search", q=q), 400)


@pytest.mark.parametrize("q", ["%", "_", "'", "\\", "--", "a" * 100, "🚜", "%s"])
def test_search_escapes_wildcards(own_shop: PopulatedShop, q: str) -> None:
    assert Browser(own_shop.crew.owner).get("search", q=q).json() == {"rows": []}


def test_only_json_is_accepted(own_shop: PopulatedShop) -> None:
    answer = Browser(own_shop.crew.owner).client.post(
        "/api/v1/customers", {"name": "A"}, headers={"Idempotency-Key": str(uuid7())}
    )
    assert assert_problem(answer, 415)["code"] == "unsupported_media_type"


@pytest.mark.parametrize("path", ["customers", "session"])
@pytest.mark.parametrize("body", ["[" * 5000, '{"a":' * 3000])
def test_deeply_nested_body_is_a_problem_response(own_shop: PopulatedShop, body: str, path: str) -> None:
    answer = Browser(own_shop.crew.owner).client.post(
        f"/api/v1/{path}", body, content_type="application/json", headers={"Idempotency-Key": str(uuid7())}
    )
    assert_problem(answer, 400)


@pytest.mark.parametrize("path", ["customers", "session", "quotes"])
def test_unsupported_accept_header_is_refused(own_shop: PopulatedShop, path: str) -> None:
    answer = Browser(own_shop.crew.owner).client.get(f"/api/v1/{path}", headers={"Accept": "text/plain"})
    assert answer.status_code == 406


def test_unknown_path_is_a_problem_response(own_shop: PopulatedShop) -> None:
    for path in ("/api/v1/nothing", "/api/v1/customers/1", "/api/nothing"):
        assert_problem(Browser(own_shop.crew.owner).client.get(path), 404)


def test_edits_of_unknown_or_hidden_fields_are_refused(own_shop: PopulatedShop) -> None:
    browser, customer = Browser(own_shop.crew.owner), own_shop.ids["customers"]
    for field in ("shop_id", "shop", "phone_digits", "id", "created_at", "nonsense"):
        body = {"id": str(customer), "base": {field: "a"}, "set": {field: "b"}}
        assert assert_problem(browser.post(f"customers/{customer}/edit", body), 422)["fields"][0]["field"] == field
    body = {"id": str(customer), "base": {}, "set": {"name": "B"}}
    assert assert_problem(browser.post(f"customers/{customer}/edit", body), 422)["code"] == "base_mismatch"


def test_push_of_nonsense_is_refused(committed_db: None) -> None:
    browser = Browser(open_crew().owner)
    for body in ("[]", "{}", '{"device": 1}', json.dumps({"device": str(uuid7()), "build": "x", "commands": "all"})):
        assert_problem(browser.post("sync/push", body), 400, 422)
