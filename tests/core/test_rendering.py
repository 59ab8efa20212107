"""Sentences are rendered on output from a code and its values, in the language of the request."""

from collections.abc import Mapping

import pytest
from django.test import Client

from shopapi.core import rendering
from shopapi.core.errors import Conflict, FieldError, Invalid, Reason, pack, unpack
from shopapi.core.rendering import catalogs, language, pick_language, render, render_fields, show_stored

INVENTED: Mapping[str, str] = {
    "not_authenticated": "Zuerst anmelden.",
    "stage_not_next": "„{before}“ wird nicht „{stage}“.",
    "before.repair": "Reparatur",
}


@pytest.fixture
def second_language(monkeypatch: pytest.MonkeyPatch) -> None:
    found = {**catalogs(), "de": INVENTED}
    monkeypatch.setattr(rendering, "catalogs", lambda: found)


@pytest.mark.usefixtures("db", "second_language")
def test_answer_is_in_the_first_language_that_has_a_catalog(client: Client) -> None:
    for accepted, detail in (
        ("de-CH, en;q=0.5", "Zuerst anmelden."),
        ("fr, de;q=0.4, en;q=0.8", "Sign in first."),
        ("de;q=0, en;q=0.1", "Sign in first."),
        ("", "Sign in first."),
    ):
        answer = client.get("/api/v1/customers", headers={"Accept-Language": accepted})
        assert (answer.json()["detail"], answer.json()["code"]) == (detail, "not_authenticated")
        assert answer.json()["message"] == "not_authenticated"
    assert language.get() == "en"


@pytest.mark.usefixtures("second_language")
def test_values_are_translated_and_missing_entries_are_english() -> None:
    reason = Reason("stage_not_next", {"before": "repair", "stage": "ready"})
    before = language.set("de")
    try:
        assert render(reason) == "„Reparatur“ wird nicht „Ready“."
        assert render(Reason("too_deep")) == "This is nested too deeply."
    finally:
        language.reset(before)
    assert render(reason) == "A job can't go from “Repair” to “Ready”."


@pytest.mark.usefixtures("second_language")
@pytest.mark.parametrize("accepted", ["de;q=high", "*", ";;,,", "de-CH;q=", "x" * 5000])
def test_odd_header_gives_a_known_language(accepted: str) -> None:
    assert pick_language(accepted) in {"en", "de"}


def test_stored_reason_is_rendered_and_an_old_sentence_is_unchanged() -> None:
    reason = Reason("stage_not_next", {"before": "repair", "stage": "ready"})
    assert unpack(pack(reason)) == reason
    assert show_stored(pack(reason)) == "A job can't go from “Repair” to “Ready”."
    assert show_stored("The mail server refused it: {550}") == "The mail server refused it: {550}"
    assert show_stored("") == ""
    # Stored before its sentence named a value.
    assert show_stored('{"code": "stage_not_next"}') == "A job can't go from “…” to “…”."
    # A code that a later build had.
    assert show_stored('{"code": "from_tomorrow"}') == "From tomorrow."


def test_old_stored_fields_keep_their_sentence() -> None:
    before = FieldError.from_json({"field": "stage", "code": "stage_not_next", "words": "Not from here."})
    now = FieldError("stage", "stage_not_next", context={"before": "repair", "stage": "ready"})
    assert FieldError.from_json(now.to_json()) == now
    assert [fault["words"] for fault in render_fields([before, now])] == [
        "Not from here.",
        "A job can't go from “Repair” to “Ready”.",
    ]


def test_invalid_has_the_sentence_of_its_first_field() -> None:
    fault = FieldError("site_id", "another_customer", message="site_of_another_customer")
    assert render(Invalid("invalid", fields=[fault]).reason) == "This place belongs to another customer."
    assert render(Invalid("invalid", message="fields_invalid", fields=[fault]).reason) == "Some fields need correcting."
    assert render(Conflict("still_refused").reason) == "This still can't be applied."
