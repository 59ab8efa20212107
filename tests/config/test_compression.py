"""Answers of the API are gzipped where it helps, and never where a secret stands beside text that somebody chose."""

import gzip
import random
from typing import Any
from uuid import UUID

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from shopapi.config.compression import LEAST_BYTES, compress_answers
from shopapi.core.ids import uuid7
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.structure.test_edge import routes

GZIP = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def passed(response: HttpResponse, *, method: str = "GET", path: str = "/api/v1/jobs", accepts: str = "gzip") -> Any:
    """The response after the middleware."""
    request = RequestFactory().generic(method, path, headers={"Accept-Encoding": accepts})

    def view(_request: HttpRequest) -> HttpResponse:
        return response

    return compress_answers(view)(request)


def answer(content: bytes = b"[" + b"1," * 2000 + b"1]", content_type: str = "application/json") -> HttpResponse:
    return HttpResponse(content, content_type=content_type)


def test_list_is_gzipped_for_who_takes_it(crew: Crew) -> None:
    for _ in range(12):
        work.a_customer(crew.owner)
    client = Browser(crew.owner).client
    plain, packed = client.get("/api/v1/customers"), client.get("/api/v1/customers", headers=GZIP)
    assert (plain.has_header("Content-Encoding"), packed["Content-Encoding"]) == (False, "gzip")
    assert gzip.decompress(packed.content) == plain.content
    assert int(packed["Content-Length"]) == len(packed.content) < len(plain.content) / 3
    assert "Accept-Encoding" in plain["Vary"]
    assert "Accept-Encoding" in packed["Vary"]


def test_row_is_still_not_sent_again_to_who_has_it(crew: Crew) -> None:
    customer = work.a_customer(crew.owner, notes="Gate code at the barn. " * 80)
    client, path = Browser(crew.owner).client, f"/api/v1/customers/{customer}"
    plain, packed = client.get(path), client.get(path, headers=GZIP)
    assert packed["Content-Encoding"] == "gzip"
    # RFC 9110, section 8.8.1: other bytes, the same row.
    assert packed["ETag"] == f"W/{plain['ETag']}"
    for tag in (plain["ETag"], packed["ETag"]):
        again = client.get(path, headers=GZIP | {"If-None-Match": tag})
        assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize("accepts", ["", "identity", "br", "gzip;q=0", "gzip; q=0.0", "*;q=0"])
def test_who_does_not_take_gzip_gets_none(accepts: str) -> None:
    assert not passed(answer(), accepts=accepts).has_header("Content-Encoding")


@pytest.mark.parametrize("accepts", ["gzip", "br, gzip;q=0.8", "*", "GZIP"])
def test_who_takes_gzip_gets_it(accepts: str) -> None:
    assert passed(answer(), accepts=accepts)["Content-Encoding"] == "gzip"


def test_what_does_not_get_smaller_stays() -> None:
    small, noise = b"1" * (LEAST_BYTES - 1), random.Random(1).randbytes(2 * LEAST_BYTES)  # noqa: S311
    assert passed(answer(small)).content == small
    assert not passed(answer(noise)).has_header("Content-Encoding")
    for content_type in ("application/pdf", "image/jpeg", "image/webp", "audio/mp4", "text/html; charset=utf-8"):
        assert not passed(answer(content_type=content_type)).has_header("Content-Encoding")
    packed = answer()
    packed["Content-Encoding"] = "br"
    assert passed(packed)["Content-Encoding"] == "br"


@pytest.mark.parametrize("path", ["/ask/secret", "/join/secret", "/ticket/secret", "/bill/secret", "/admin/login/"])
def test_pages_behind_secrets_are_not_compressed(path: str) -> None:
    assert not passed(answer(), path=path).has_header("Content-Encoding")


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_answers_that_repeat_what_was_sent_are_not_compressed(method: str) -> None:
    assert not passed(answer(), method=method).has_header("Content-Encoding")


def test_errors_are_not_compressed() -> None:
    refused = answer()
    refused.status_code = 422
    assert not passed(refused).has_header("Content-Encoding")


# What is read by GET and not derived from a resource or a report, by whether a secret is in it.
WITH_SECRETS = {
    "api/v1/session",
    "api/v1/approval-links/<uuid:row_id>/address",
    "api/v1/invitations/<uuid:row_id>/address",
    "api/v1/notices/<uuid:row_id>/text",
    "api/v1/calendar-feeds/<uuid:row_id>/address",
}


def test_answers_with_a_secret_are_never_compressed(crew: Crew) -> None:
    """Neither by us nor by a proxy: RFC 9111, section 5.2.2.6."""
    ids = _rows_with_secrets(crew)
    client = Browser(crew.owner).client
    for path in sorted(WITH_SECRETS):
        resource = path.split("/")[2]
        answered = client.get(f"/{path.replace('<uuid:row_id>', str(ids.get(resource)))}", headers=GZIP)
        assert answered.status_code == 200, (path, answered.content)
        assert answered["Cache-Control"] == "no-store, no-transform", path
    long = answer()
    long["Cache-Control"] = "no-store, no-transform"
    assert not passed(long).has_header("Content-Encoding")


def _rows_with_secrets(crew: Crew) -> dict[str, UUID]:
    """A row of each resource that has a secret, by its name on REST."""
    job = work.a_job(crew.owner)
    feed, invitation = uuid7(), uuid7()
    browser = Browser(crew.owner)
    invited = {"id": str(invitation), "name": "Ivy", "email": "ivy@bench.example", "role": "mechanic"}
    made = [browser.post("calendar-feeds", {"id": str(feed)}), browser.post("invitations", invited)]
    assert [one.status_code for one in made] == [201, 201], [one.content for one in made]
    return {
        "approval-links": work.a_request(crew.owner, work.an_offer(crew.owner, job)),
        "notices": work.a_message(crew.owner, job),
        "calendar-feeds": feed,
        "invitations": invitation,
    }


# What is read by GET and not derived from a resource or a report, and holds no secret.
WITHOUT_SECRETS = {
    "api/docs",
    "api/v1/attachments/<uuid:row_id>/picture",
    "api/v1/attachments/<uuid:row_id>/thumbnail",
    "api/v1/attachments/<uuid:row_id>/voice",
    "api/v1/billing-printouts/<uuid:row_id>/pdf",
    "api/v1/changes",
    "api/v1/channels",
    "api/v1/invoices/<uuid:row_id>/cii",
    "api/v1/invoices/<uuid:row_id>/factur-x",
    "api/v1/invoices/<uuid:row_id>/pdf",
    "api/v1/invoices/<uuid:row_id>/ubl",
    "api/v1/jobs/<uuid:row_id>/agreed",
    "api/v1/label-sheets/<uuid:row_id>/pdf",
    "api/v1/part-orders/<uuid:row_id>/pdf",
    "api/v1/printouts/<uuid:row_id>/paper",
    "api/v1/printouts/<uuid:row_id>/pdf",
    "api/v1/quotes/<uuid:row_id>/offer-document",
    "api/v1/quotes/<uuid:row_id>/paper",
    "api/v1/quotes/<uuid:row_id>/pdf",
    "api/v1/reports/journal.txt",
    "api/v1/search",
    "api/v1/session/factors",
    "api/v1/session/sessions",
    "api/v1/stock-sheets/<uuid:row_id>/pdf",
    "api/v1/sync/commands/<uuid:row_id>",
    "api/v1/sync/pull",
    "api/v1/sync/snapshot",
    "api/v1/uploads/<uuid:row_id>",
}


def test_every_other_answer_is_known_to_hold_no_secret() -> None:
    """A new view that is written by hand is put into one of the two lists."""
    derived = {"shopapi.core.rest", "shopapi.core.reports"}
    found = set()
    for path, pattern in routes():
        view = getattr(pattern.callback, "cls", None)
        if path.startswith("api/") and view is not None and view.__module__ not in derived and hasattr(view, "get"):
            found.add(path)
    assert found == WITH_SECRETS | WITHOUT_SECRETS
