"""The OpenAPI document is served from a file, with an ETag; nothing is built per request."""

import gzip
import json
from inspect import cleandoc

import pytest
from django.conf import settings
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from shopapi.core.http.openapi import bases_of_views
from shopapi.sync.services.issues import settle_issue

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
    assert not [name for name, words in operations.items() if words in ours]
    assert operations["list_customers"] == ""
    assert operations["settle_issue"] == cleandoc(settle_issue.service.__doc__ or "").partition("\n\n")[2]
