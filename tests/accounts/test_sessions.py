"""Sessions: listed, ended one by one or all, and by themselves; what a phone that was away finds."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import connections

from shopapi.accounts.models import BrowserSession, User
from shopapi.core.clock import held_at, now
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew

EMAIL = "mechanic@bench.example"
PHONE = "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/141.0.0.0 Mobile Safari/537.36"
LAPTOP = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10.15; rv:140.0) Gecko/20100101 Firefox/140.0"


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def signed_in(agent: str = PHONE, email: str = EMAIL) -> Browser:
    browser = Browser()
    browser.client.defaults["HTTP_USER_AGENT"] = agent
    assert browser.post("session", {"email": email, "password": PASSWORD}).status_code == 200
    return browser


def sessions_of(browser: Browser) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = browser.get("session/sessions").json()["rows"]
    return rows


def test_sessions_are_listed_with_browser_network_and_times(crew: Crew) -> None:
    here = signed_in()
    with held_at(now() + timedelta(hours=1)):
        there = signed_in(LAPTOP)
        signed_in(email="office@bench.example")
        rows = sessions_of(there)
    assert [(row["label"], row["current"], row["network"]) for row in rows] == [
        ("Firefox, Mac", True, "127.0.0.1"),
        ("Chrome, Android", False, "127.0.0.1"),
    ]
    assert rows[0]["begun_at"] > rows[1]["begun_at"]
    assert [row["current"] for row in sessions_of(here)] == [False, True]


def test_one_session_is_ended_at_once_and_the_others_stay(crew: Crew) -> None:
    here, lost, third = signed_in(), signed_in(LAPTOP), signed_in()
    [row] = [row for row in sessions_of(here) if row["label"] == "Firefox, Mac"]
    office = signed_in(email="office@bench.example")
    assert office.post(f"session/sessions/{row['id']}/end", {}).status_code == 404
    assert here.post(f"session/sessions/{row['id']}/end", {}).status_code == 204
    assert [browser.get("customers").status_code for browser in (here, lost, third)] == [200, 401, 200]
    assert lost.get("session").json()["signed_in"] is False
    [own] = [row for row in sessions_of(here) if row["current"]]
    refused = here.post(f"session/sessions/{own['id']}/end", {})
    assert (refused.status_code, refused.json()["code"]) == (409, "this_session")
    with in_shop(crew.shop_id):
        event = AuditEvent.objects.get(event="session ended")
    assert event.details == {"label": "Firefox, Mac"}


def test_all_others_are_ended_also_those_in_no_list_yet(crew: Crew) -> None:
    here, lost = signed_in(), signed_in()
    unlisted = Browser(crew.mechanic)
    assert unlisted.get("customers").status_code == 200
    assert here.post("session/sessions/end-others", {}).status_code == 204
    assert [browser.get("customers").status_code for browser in (here, lost, unlisted)] == [200, 401, 401]
    assert [row["current"] for row in sessions_of(here)] == [True]
    # And once more: this session's key has changed.
    assert here.post("session/sessions/end-others", {}).status_code == 204
    assert here.get("customers").status_code == 200


def test_signing_out_and_a_new_password_leave_the_list_right(crew: Crew) -> None:
    here, other = signed_in(), signed_in(LAPTOP)
    assert here.post("session/password", {"old": PASSWORD, "new": "four slow mowers"}).status_code == 200
    assert other.get("customers").status_code == 401
    rows = sessions_of(here)
    assert [row["current"] for row in rows if row["current"]] == [True]
    here.client.delete("/api/v1/session")
    assert BrowserSession.objects.filter(label="Chrome, Android").count() == 0


def test_session_of_before_the_list_comes_into_it_with_its_next_contact(crew: Crew) -> None:
    browser = Browser(crew.mechanic)
    session = browser.client.session
    for key in ("seen_at", "proved_at"):
        del session[key]
    session.save()
    assert browser.get("customers").status_code == 200
    assert [row["current"] for row in sessions_of(browser)] == [True]


def test_concurrent_first_contacts_of_a_session_are_all_answered(crew: Crew) -> None:
    browser = Browser(crew.mechanic)
    session = browser.client.session
    del session["seen_at"]
    session.save()
    together = Barrier(8)

    def ask(_: int) -> int:
        other = Browser()
        other.client.cookies = browser.client.cookies
        try:
            together.wait()
            return int(other.get("customers").status_code)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(ask, range(8))) == {200}
    assert BrowserSession.objects.count() == 1


def test_contact_is_written_down_every_half_an_hour_alone(crew: Crew) -> None:
    browser = signed_in()
    seen = []
    for minutes in (0, 10, 29, 31, 45):
        with held_at(now() + timedelta(minutes=minutes)):
            browser.get("customers")
        seen.append(BrowserSession.objects.get().seen_at)
    assert seen[0] == seen[1] == seen[2] < seen[3] == seen[4]


@pytest.mark.parametrize(("days", "status"), [(29, 200), (30, 401)])
def test_session_ends_after_thirty_days_without_contact(crew: Crew, days: int, status: int) -> None:
    browser = signed_in()
    with held_at(now() + timedelta(days=days, minutes=1)):
        assert browser.get("customers").status_code == status
        assert browser.get("session").json()["signed_in"] is (status == 200)


def test_session_in_use_ends_ninety_days_after_its_sign_in(crew: Crew) -> None:
    browser = signed_in()
    start = now()
    for day in (20, 40, 60, 80, 89):
        with held_at(start + timedelta(days=day)):
            assert browser.get("customers").status_code == 200
    with held_at(start + timedelta(days=90, minutes=1)):
        assert browser.get("customers").status_code == 401
    assert settings.SESSION_COOKIE_AGE == 90 * 86400


def test_phone_that_was_away_asks_for_the_password_and_goes_on_as_the_same_device(crew: Crew) -> None:
    phone, device = signed_in(), str(uuid7())
    registered = phone.post("sync/devices", {"id": device, "label": "Phone", "build": "1"})
    assert registered.status_code in {200, 201}, registered.content
    with held_at(now() + timedelta(days=45)):
        refused = phone.post("session/password", {"old": PASSWORD, "new": "x" * 12})
        assert (refused.status_code, refused.json()["code"]) == (401, "not_authenticated")
        # With the old cookie still there.
        assert phone.post("session", {"email": EMAIL, "password": PASSWORD}).status_code == 200
        again = phone.post("sync/devices", {"id": device, "label": "Phone", "build": "1"})
        assert (again.status_code, again.json()["letter"]) == (registered.status_code, registered.json()["letter"])
        # The one that ended is in no table any more.
        assert BrowserSession.objects.filter(user=User.objects.get(sign_in=EMAIL)).count() == 1
        assert Session.objects.count() == 1


def test_device_of_a_session_is_named_by_its_letter(crew: Crew) -> None:
    phone = signed_in()
    letter = json.loads(phone.post("sync/devices", {"id": str(uuid7()), "label": "", "build": "1"}).content)["letter"]
    assert [row["devices"] for row in sessions_of(phone)] == [[letter]]
