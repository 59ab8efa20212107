"""Quiet hours on every day of the year, and the words of messages."""

import json
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.core.errors import Invalid
from shopapi.core.rendering import render
from shopapi.documents.rules import Figures
from shopapi.notices.rules.notice import DeliveryResult, DeliveryStatus, after_try
from shopapi.notices.rules.quiet_hours import free_at, is_quiet
from shopapi.notices.rules.templates import MESSAGE_TYPES, Wording, check_template, fields_of, fill
from tests.factories.refusals import refuses

# The phone's twin runs the same cases (`templates.test.ts`).
VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "notices" / "wordings.json").read_text("utf-8"))
ZONES = ["America/Chicago", "Europe/Berlin", "Australia/Lord_Howe", "America/Sao_Paulo", "Asia/Kolkata", "UTC"]
clock = st.integers(0, 24 * 60 - 1).map(lambda minutes: time(minutes // 60, minutes % 60))
instant = st.integers(0, 15 * 365 * 24 * 60).map(
    lambda minutes: datetime(2015, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
)


@given(instant, st.sampled_from(ZONES), clock, clock)
def test_what_is_free_is_outside_the_quiet_hours_and_the_first_such_instant(
    at: datetime, zone: str, begins: time, ends: time
) -> None:
    free = free_at(at, zone=zone, begins=begins, ends=ends)
    quiet = [is_quiet(_there(one, zone), begins=begins, ends=ends) for one in (at, free)]
    assert quiet[1] is False
    assert (free == at) is not quiet[0]
    assert at <= free <= at + timedelta(hours=26)
    if quiet[0]:
        # A minute before it is still quiet, and so is any minute between.
        span = free - at
        for part in range(8):
            assert is_quiet(_there(at + (span - timedelta(seconds=1)) * part / 8, zone), begins=begins, ends=ends)


def _there(at: datetime, zone: str) -> time:
    return at.astimezone(ZoneInfo(zone)).time().replace(tzinfo=None)


@pytest.mark.parametrize(
    ("at", "free"),
    [
        # The nights on which the clocks of Chicago change in 2026 (IANA tz: 8 March 2:00 and 1 November 2:00).
        ("2026-03-07T20:00:00-06:00", "2026-03-08T08:00:00-05:00"),
        ("2026-10-31T23:00:00-05:00", "2026-11-01T08:00:00-06:00"),
        ("2026-05-05T19:59:59-05:00", "2026-05-05T19:59:59-05:00"),
        ("2026-05-05T08:00:00-05:00", "2026-05-05T08:00:00-05:00"),
        ("2026-05-05T03:00:00-05:00", "2026-05-05T08:00:00-05:00"),
    ],
)
def test_mornings_by_hand(at: str, free: str) -> None:
    found = free_at(datetime.fromisoformat(at), zone="America/Chicago", begins=time(20), ends=time(8))
    assert found == datetime.fromisoformat(free)


def test_an_end_that_the_clock_jumps_over_is_the_jump() -> None:
    """Half past two does not come on 8 March 2026 in Chicago: quiet ends at 3:00 daylight time, which is 08:00 UTC."""
    at = datetime(2026, 3, 8, 7, tzinfo=UTC)
    free = free_at(at, zone="America/Chicago", begins=time(20), ends=time(2, 30))
    assert free == datetime(2026, 3, 8, 8, tzinfo=UTC)


def test_the_preview_shows_amounts_days_and_times_as_messages_word_them() -> None:
    figures = Figures("en-US", "USD", "America/Chicago")
    time_of_day = {
        name: figures.time_of_day(datetime(2026, 6, 30, hour, minute, tzinfo=UTC))
        for name, hour, minute in (("since", 13, 5), ("after", 19, 5), ("before", 19, 40))
    }
    worded = {"total": figures.money(18_450), "until": figures.day(date(2026, 6, 30)), **time_of_day}
    examples = [type_.examples for type_ in MESSAGE_TYPES.values()]
    assert {name: text for one in examples for name, text in one.items() if name in worded} == worded


@pytest.mark.parametrize(
    ("subject", "body", "field"),
    [
        ("Hello", "Dear {custommer}", "body"),
        ("Hello {customer.name}", "x", "subject"),
        ("Hello", "{customer!r}", "body"),
        ("Hello", "open { brace", "body"),
        ("two\nlines", "x", "subject"),
        ("", "x", "subject"),
    ],
)
def test_a_template_with_a_wrong_field_is_refused_naming_it(subject: str, body: str, field: str) -> None:
    with pytest.raises(Invalid) as refused:
        check_template("machine_ready", "email", Wording(subject=subject, body=body))
    assert [fault.field for fault in refused.value.fields] == [field]
    assert subject == "" or "{" not in body or "{machine}" in render(refused.value.reason)


def test_an_unknown_kind_of_message_is_refused_naming_the_known_ones() -> None:
    with refuses(Invalid, "machine_ready"):
        check_template("invoice", "email", Wording(subject="x", body="x"))
    with refuses(Invalid, "does not go by push"):
        check_template("machine_ready", "push", Wording(subject="x", body="x"))


def test_the_words_that_come_with_it_keep_their_own_rule_and_need_no_field_that_has_no_example() -> None:
    for key, message_type in MESSAGE_TYPES.items():
        for language, words in (("en", message_type.words), ("es", message_type.in_spanish)):
            for channel, wording in words.items():
                check_template(key, channel, wording, language)  # type: ignore[arg-type] # a language
                assert "{" not in fill(wording.subject + wording.body, message_type.examples)


def test_what_goes_to_customers_is_worded_in_spanish_with_the_same_fields() -> None:
    """All but push, which goes to members."""
    for key, message_type in MESSAGE_TYPES.items():
        to_customers = {channel: words for channel, words in message_type.words.items() if channel != "push"}
        assert message_type.in_spanish.keys() == to_customers.keys(), key
        for channel, english in to_customers.items():
            assert fields_of(message_type.in_spanish[channel]) == fields_of(english), (key, channel)
    with pytest.raises(Invalid) as refused:
        check_template("clock_running", "push", Wording(subject="Reloj", body="{since}"), "es")
    assert [fault.field for fault in refused.value.fields] == ["language"]


def test_the_phone_knows_the_same_messages() -> None:
    message_types = {
        key: {
            "examples": dict(message_type.examples),
            **{
                name: {channel: {"subject": one.subject, "body": one.body} for channel, one in words.items()}
                for name, words in (("words", message_type.words), ("in_spanish", message_type.in_spanish))
            },
        }
        for key, message_type in MESSAGE_TYPES.items()
    }
    assert message_types == VECTORS["message_types"]


@pytest.mark.parametrize("case", VECTORS["checked"])
def test_the_phone_finds_the_same_faults(case: dict[str, Any]) -> None:
    found: list[str] = []
    try:
        check_template(case["key"], case["channel"], Wording(subject=case["subject"], body=case["body"]))
    except Invalid as refused:
        found = sorted({fault.field for fault in refused.fields})
    assert found == case["faults"]


@given(st.integers(1, 20), st.sampled_from(DeliveryStatus))
def test_only_temporary_failures_are_tried_again(tries: int, status: DeliveryStatus) -> None:
    state, wait = after_try(tries, DeliveryResult(status))
    assert (wait is not None) == (state == "waiting") == (status == DeliveryStatus.LATER and tries <= 5)
