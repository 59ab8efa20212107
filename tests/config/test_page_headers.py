"""Each address answers with the whole content policy and refuses the browser features that its page does not use."""

import re
from collections.abc import Iterator

import pytest
from django.contrib import admin
from django.http.response import HttpResponseBase
from django.test import Client

from shopapi.config.middleware import FEATURES
from shopapi.config.views import APP_MAY_USE
from shopapi.core.ids import uuid7
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.structure.test_edge import routes

POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
    "require-trusted-types-for": "'script'",
    "trusted-types": "'none'",
}
# Voice notes and pictures have a sandbox instead: no script runs in them at all.
SANDBOXED = "default-src 'none'; sandbox"
SHELL = r"^(?!api/|ask/|join/|ticket/|bill/|admin/|static/|assets/|sw\.js)"
INLINE = re.compile(rb"<style|\sstyle=|<script(?![^>]*\ssrc=)|\son\w+=|javascript:")
# The pages with a policy of Trusted Types: the app's starts its workers, Swagger UI's cleans its HTML.
POLICIES_OF_TYPES = {SHELL: "default", "share": "default", "api/docs": "default dompurify"}
APP = {SHELL, "share"}


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def addresses(crew: Crew) -> Iterator[tuple[str, str]]:
    """Every route besides the API's with an address of it; those of customers' links with a link that works."""
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    link = work.path_of(crew.owner, work.a_request(crew.owner, quote)).removeprefix("/")
    for route, _ in routes():
        if route.startswith("api/v1/customers") or not route.startswith("api/v1/"):
            yield route, address_of(route, link)
    for model in admin.site._registry:
        yield "admin", f"/admin/{model._meta.app_label}/{model._meta.model_name}/"
    yield "admin", "/admin/"


def address_of(route: str, link: str) -> str:
    address = re.sub(r"<(\w+):\w+>", lambda part: {"uuid": str(uuid7())}.get(part[1], "small"), route)
    return "/jobs" if route == SHELL else f"/{address.replace('ask/small', link)}"


def policy_of(answer: HttpResponseBase) -> dict[str, str]:
    parts = (part.strip().partition(" ") for part in answer["Content-Security-Policy"].split(";"))
    return {name: value for name, _, value in parts}


def is_page(answer: HttpResponseBase) -> bool:
    return answer.headers.get("Content-Type", "").startswith("text/html")


@pytest.mark.usefixtures("built_app")
def test_every_address_has_the_policy_and_refuses_features(crew: Crew) -> None:
    client = Browser(crew.owner).client
    pages = set()
    for route, address in addresses(crew):
        answer = client.get(address)
        assert set(re.findall(r"([\w-]+)=\(\)", answer["Permissions-Policy"])) == set(FEATURES) - (
            set(APP_MAY_USE) if route in APP else set()
        ), address
        if answer["Content-Security-Policy"] == SANDBOXED:
            continue
        expected = POLICY | {"trusted-types": POLICIES_OF_TYPES.get(route, "'none'")}
        assert expected.items() <= policy_of(answer).items(), address
        assert "unsafe" not in answer["Content-Security-Policy"], address
        if is_page(answer):
            pages.add(route)
            # With nothing inline a policy needs no nonce.
            assert not INLINE.search(answer.content), address
            assert "nonce" not in answer["Content-Security-Policy"]
    assert pages >= {SHELL, "share", "api/docs", "join/<str:secret>", "ask/<str:token>", "bill/<str:token>", "admin"}


def test_pages_of_errors_have_it_too(crew: Crew) -> None:
    for client in (Browser(crew.owner).client, Client()):
        for address in ("/static/nothing.css", "/assets/nothing.js", "/ask/unknown", "/admin/nothing/", "/api/nothing"):
            answer = client.get(address)
            assert answer.status_code in {302, 404}, address
            assert POLICY.items() <= policy_of(answer).items(), address
            assert "camera=()" in answer["Permissions-Policy"]
