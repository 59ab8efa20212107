"""The text of an offer as the server gives it: of a draft, of an offer, of one that an older app hashed."""

import hashlib
import json
from typing import Any
from uuid import UUID

import pytest

from shopapi.quotes.rules import json_digest_before_rfc8785
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_job(crew: Crew) -> UUID:
    customer = work.a_customer(crew.owner)
    return work.a_job(crew.owner, customer_id=customer, machine_id=work.a_machine(crew.owner, customer))


def text_of(browser: Browser, quote_id: UUID, **asked: str) -> dict[str, Any]:
    answer = browser.get(f"quotes/{quote_id}/offer-document", **asked)
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    assert hashlib.sha256(found["canonical"].encode()).hexdigest() == found["digest"]
    assert json.loads(found["canonical"]) == found["document"]
    return found


def test_draft_is_offered_with_what_the_server_gave(crew: Crew) -> None:
    browser, quote_id = Browser(crew.owner), work.a_quote(crew.owner, a_job(crew))
    found = text_of(browser, quote_id, valid_until="2026-06-10", language="es")
    assert (found["document"]["valid_until"], found["document"]["language"]) == ("2026-06-10", "es")
    assert found["total_minor"] == found["document"]["total_minor"] == 16_300
    named = {name: found[name] for name in ("digest", "total_minor", "valid_until", "shown")}
    offered = browser.post(f"quotes/{quote_id}/offer", {"id": str(quote_id), **named})
    assert (offered.status_code, offered.json()["offer_digest"]) == (200, found["digest"])
    assert text_of(browser, quote_id) == found


def test_offer_of_an_older_text_is_refused(crew: Crew) -> None:
    browser, quote_id = Browser(crew.owner), work.a_quote(crew.owner, a_job(crew))
    found = text_of(browser, quote_id)
    work.do(crew.owner, put_quote_line, quote_id=quote_id, **work.labor(position=2))
    named = {name: found[name] for name in ("digest", "total_minor", "valid_until", "shown")}
    refused = browser.post(f"quotes/{quote_id}/offer", {"id": str(quote_id), **named})
    assert (refused.status_code, refused.json()["code"]) == (409, "shown_differs")


def test_text_of_an_incomplete_draft_names_what_is_missing(crew: Crew) -> None:
    quote_id = work.a_draft(crew.owner, a_job(crew))
    answer = Browser(crew.owner).get(f"quotes/{quote_id}/offer-document")
    assert answer.status_code == 422
    assert [(fault["field"], fault["code"]) for fault in answer.json()["fields"]] == [("lines", "no_lines")]


def test_offer_hashed_by_an_older_app_is_given_in_its_form(crew: Crew) -> None:
    quote_id = work.a_quote(crew.owner, a_job(crew))

    def before(document: dict[str, Any]) -> str:
        return json_digest_before_rfc8785(document | {"format": document["format"].removesuffix("-rfc8785")})

    offer = work.offer_of(crew.owner, quote_id, digest_of=before)
    work.do(crew.owner, offer_quote, **offer)
    found = text_of(Browser(crew.owner), quote_id)
    assert (found["digest"], found["document"]["format"].endswith("-rfc8785")) == (offer["digest"], False)
