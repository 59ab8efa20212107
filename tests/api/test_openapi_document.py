"""The OpenAPI document is served from a file, with an ETag; nothing is built per request."""

import gzip
import json
from collections import Counter
from inspect import cleandoc
from uuid import UUID

import pytest
from django.conf import settings
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from shopapi.config.reference.describe import FIELDS, fields_of
from shopapi.config.reference.examples import EXAMPLES, JOB, QUOTE
from shopapi.core.http.openapi import bases_of_views, operations_of
from shopapi.sync.services.issues import settle_issue
from tests.api.conftest import PopulatedShop
from tests.factories import work
from tests.factories.crews import Browser

URL = "/api/v1/openapi.json"


@pytest.fixture
def client(monkeypatch: pytest.MonkeyPatch) -> Client:
    """A client without a sign-in; building the document would fail."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("The document was built for a request.")

    monkeypatch.setattr(SchemaGenerator, "get_schema", refuse)
    return Client()


@pytest.mark.django_db
def test_openapi_document_equals_the_file(client: Client) -> None:
    answer = client.get(URL)
    assert answer.status_code == 200
    assert answer.content == settings.API_DOCUMENT.read_bytes()
    assert json.loads(answer.content)["openapi"].startswith("3.1.")
    assert answer["Content-Type"] == "application/vnd.oai.openapi+json"


@pytest.mark.django_db
def test_openapi_document_supports_etag(client: Client) -> None:
    etag = client.get(URL)["ETag"]
    again = client.get(URL, headers={"If-None-Match": etag})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", etag)
    assert client.get(URL, headers={"If-None-Match": '"another"'}).status_code == 200


@pytest.mark.django_db
def test_openapi_document_is_compressed_if_accepted(client: Client) -> None:
    answer = client.get(URL, headers={"Accept-Encoding": "br, gzip"})
    assert answer["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in answer["Vary"]
    assert gzip.decompress(answer.content) == settings.API_DOCUMENT.read_bytes()


def test_operations_are_described_by_what_they_do() -> None:
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    operations = {
        operation["operationId"]: operation.get("description", "")
        for path in document["paths"].values()
        for operation in path.values()
    }
    ours = {cleandoc(base.__doc__) for base in bases_of_views() if base.__doc__}
    assert not [name for name, words in operations.items() if not words or any(own in words for own in ours)]
    said = cleandoc(settle_issue.service.__doc__ or "").partition("\n\n")[2]
    assert operations["settle_issue"] == f"{said}\n\nNeeds the permission `settle_issues`."
    summaries = [(*operation["tags"], operation["summary"]) for _, operation in operations_of(document)]
    assert [words for words, times in Counter(summaries).items() if times > 1] == []


def test_refusals_are_problem_details_in_the_document() -> None:
    """RFC 9457, section 3: the media type of a refusal is application/problem+json."""
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    shared = document["components"]["responses"]
    for response in shared.values():
        assert response["description"]
        assert response["content"] == {
            "application/problem+json": {"schema": {"$ref": "#/components/schemas/ProblemDetails"}}
        }
    for method, operation in operations_of(document):
        refusals = {status: one for status, one in operation["responses"].items() if status >= "400"}
        assert refusals.keys() >= {"400", "401", "403", "404", "406", "409", "422", "503"}, operation["operationId"]
        assert ("415" in refusals) == (method not in {"get", "delete"}), operation["operationId"]
        for status, response in refusals.items():
            assert response == {"$ref": f"#/components/responses/Problem{status}"}
            assert f"Problem{status}" in shared


def test_only_the_session_is_open_to_all() -> None:
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    unguarded = {operation["operationId"] for _, operation in operations_of(document) if {} in operation["security"]}
    by_mail = {"ask_for_reset", "reset_password", "confirm_address"}
    by_passkey = {"begin_passkey_sign_in", "sign_in_with_passkey"}
    assert unguarded == {"read_session", "sign_in", "sign_out", "open_first_shop"} | by_mail | by_passkey


def test_every_field_and_parameter_is_described() -> None:
    """Where this fails, the name goes into a table of `shopapi/config/reference`, or the field gets a description."""
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    silent = {
        f"{name}.{field}"
        for name, schema in document["components"]["schemas"].items()
        for field, inner in fields_of(schema)
        if not inner.get("description")
    }
    assert silent == set()
    assert {
        f"{operation['operationId']} {one['name']}"
        for _, operation in operations_of(document)
        for one in operation.get("parameters", [])
        if not one.get("description") or not one["schema"].get("type")
    } == set()


def test_tables_of_descriptions_name_what_there_is() -> None:
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    there = {
        part
        for name, schema in document["components"]["schemas"].items()
        for field, _ in fields_of(schema)
        for part in (field, f"{name}.{field}", f"{name.removesuffix('Request')}.{field}")
    }
    assert FIELDS.keys() - there == set()


def test_formats_are_kept() -> None:
    """JSON Schema's formats for what JSON has no type for."""
    schemas = json.loads(settings.API_DOCUMENT.read_text("utf-8"))["components"]["schemas"]
    job, invoice = schemas["JobRow"]["properties"], schemas["InvoiceRow"]["properties"]
    assert (job["id"]["format"], job["created_at"]["format"]) == ("uuid", "date-time")
    assert {"type": "string", "format": "date"} in invoice["due_on"]["anyOf"]


def test_introduction_explains_what_holds_everywhere() -> None:
    words = json.loads(settings.API_DOCUMENT.read_text("utf-8"))["info"]["description"]
    for heading in ("Signing in", "Permissions", "Reading", "Writing, and writing again", "Editing", "Errors"):
        assert f"\n## {heading}\n" in words
    for term in (
        "Authorization: Token",
        "Idempotency-Key",
        "RFC 9457",
        "RFC 8785",
        "minor units",
        "`base`",
        "`cursor`",
    ):
        assert term in words


def test_examples_are_applied_in_their_order(own_shop: PopulatedShop) -> None:
    """Each example of the document is sent as it stands to the operation that takes it."""
    document = json.loads(settings.API_DOCUMENT.read_text("utf-8"))
    takes = {
        operation["requestBody"]["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2]: path
        for path, operations in document["paths"].items()
        for operation in operations.values()
        if "application/json" in operation.get("requestBody", {}).get("content", {})
    }
    browser = Browser(own_shop.crew.owner)
    for name, example in EXAMPLES.items():
        if name == "PutLineRequest":
            work.a_draft(own_shop.crew.owner, UUID(JOB), id=UUID(QUOTE))
        path = takes[name].removeprefix("/api/v1/").replace("{row_id}", str(example["id"]))
        answer = browser.post(path, example)
        assert answer.status_code in {200, 201}, (name, answer.content)
        assert document["components"]["schemas"][name]["examples"] == [example]
