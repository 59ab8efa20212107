"""The OpenAPI document is served from a file, with an ETag; nothing is built per request."""

import gzip
import json

import pytest
from django.conf import settings
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

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
