"""Sign-in and sign-out: access, CSRF and cookies, throttling of guesses."""

import hashlib
import json
import os
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connections
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

from shopapi.accounts.models import ApiToken, User
from shopapi.accounts.rules import FirstShop, throttling
from shopapi.accounts.services import credentials
from shopapi.accounts.services.credentials import check_sign_in
from shopapi.accounts.services.members import end_membership
from shopapi.accounts.services.tokens import make_token
from shopapi.core.clock import now
from shopapi.core.errors import DomainError
from shopapi.core.tenancy import in_shop
from shopapi.quotes.services.shop import open_first_shop
from tests.factories.crews import PASSWORD, Browser, Crew, member_of, open_crew
from tests.factories.work import do

OPENING = {
    "shop_name": "Bench & Bar",
    "zone": "America/Chicago",
    "currency": "USD",
    "name": "Ada",
    "email": "ada@bench.example",
    "password": PASSWORD,
}


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def sign_in(browser: Browser, email: str = "owner@bench.example", password: str = PASSWORD, **headers: str) -> Any:
    return browser.post("session", {"email": email, "password": password}, **headers)


def test_signing_in_and_out(crew: Crew) -> None:
    browser = Browser()
    before = browser.get("session").json()
    assert (before["signed_in"], before["first_shop_needed"], before["member"]) == (False, False, None)
    signed = sign_in(browser, "OWNER@bench.example")
    body = signed.json()
    assert (signed.status_code, body["signed_in"], body["member"]["role"]) == (200, True, "owner")
    assert body["shop_id"] == str(crew.shop_id)
    assert browser.get("customers").status_code == 200
    assert browser.client.delete("/api/v1/session").json()["signed_in"] is False
    assert browser.get("customers").status_code == 401
    assert browser.get("session").json()["signed_in"] is False


def test_ended_session_cannot_be_reused(crew: Crew) -> None:
    browser = Browser()
    sign_in(browser)
    kept = browser.client.cookies[settings.SESSION_COOKIE_NAME].value
    browser.client.delete("/api/v1/session")
    thief = Browser()
    thief.client.cookies[settings.SESSION_COOKIE_NAME] = kept
    assert thief.get("customers").status_code == 401


def test_sign_in_starts_a_new_session(crew: Crew) -> None:
    browser = Browser()
    sign_in(browser)
    first = browser.client.cookies[settings.SESSION_COOKIE_NAME].value
    sign_in(browser, "office@bench.example")
    assert browser.client.cookies[settings.SESSION_COOKIE_NAME].value != first


def test_cookies_are_host_only_and_http_only(crew: Crew) -> None:
    browser = Browser()
    sign_in(browser)
    assert set(browser.client.cookies) == {"session", "csrf", credentials.known_browser_name("owner@bench.example")}
    for cookie in browser.client.cookies.values():
        assert cookie["httponly"] is True
        assert (cookie["path"], cookie["domain"], cookie["samesite"]) == ("/", "", "Lax")


@pytest.mark.parametrize(
    ("origin", "cookies"),
    [
        ("https://shop.example", ["__Host-session", "__Host-csrf", True, True]),
        # WebKit, the engine of every iPhone, keeps no Secure cookie from an http address, localhost included.
        ("http://localhost:8000", ["session", "csrf", False, False]),
        ("http://127.0.0.1:8000", ["session", "csrf", False, False]),
        ("http://192.0.2.7:8000", ["session", "csrf", False, False]),
    ],
)
def test_cookies_are_secure_and_tied_to_the_host_with_https_and_plain_with_http(
    origin: str, cookies: list[str | bool]
) -> None:
    script = (
        "import json; from shopapi.config import settings as s; "
        "print(json.dumps([s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE]))"
    )
    environment = dict(os.environ) | {"DRAWBAR_ORIGIN": origin}
    answer = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert json.loads(answer.stdout) == cookies


def test_request_without_sign_in_is_401(crew: Crew) -> None:
    answer = Browser().get("customers")
    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
    assert answer["WWW-Authenticate"]
    assert (answer.json()["code"], answer.json()["detail"]) == ("not_authenticated", "Sign in first.")


def test_write_needs_the_csrf_token(crew: Crew) -> None:
    browser = Browser(checks_csrf=True)
    sign_in(browser, **{"X-CSRF-Token": browser.get("session").json()["csrf"]})
    token = browser.get("session").json()["csrf"]
    body = {"id": "01890000-0000-7000-8000-000000000001", "name": "A"}
    without = browser.post("customers", body)
    assert (without.status_code, without["Content-Type"]) == (403, "application/problem+json")
    assert without.json()["code"] == "csrf_failed"
    assert "CSRF" not in without.json()["detail"]
    assert browser.post("customers", body, **{"X-CSRF-Token": "a" * 64}).status_code == 403
    assert browser.post("customers", body, **{"X-CSRF-Token": token}).status_code == 201


def test_another_site_cannot_sign_somebody_in_or_out(crew: Crew) -> None:
    browser = Browser(checks_csrf=True)
    refused = sign_in(browser)
    assert (refused.status_code, refused.json()["code"]) == (403, "csrf_failed")
    assert refused.json()["detail"].endswith("Allow cookies for this site and reload the page.")
    sign_in(browser, **{"X-CSRF-Token": browser.get("session").json()["csrf"]})
    assert browser.client.delete("/api/v1/session").status_code == 403
    assert browser.get("session").json()["signed_in"] is True


@pytest.mark.parametrize(
    ("email", "network", "let_through"),
    [
        ("owner@bench.example", "192.0.2.1", 5),
        ("owner@bench.example", "192.0.2.{}", 4),
        ("visitor{}@bench.example", "192.0.2.1", 6),
    ],
)
def test_concurrent_guesses_are_throttled_alike(
    committed_db: None, monkeypatch: pytest.MonkeyPatch, email: str, network: str, let_through: int
) -> None:
    """One address from one network and from many, and many addresses from one network: every try is counted."""
    open_crew()
    monkeypatch.setattr(credentials, "TRIES_PER_NETWORK", 6)
    # However slow the machine is.
    monkeypatch.setattr(throttling, "SHORTEST_WAIT", throttling.LONGEST_WAIT)
    guesses = 16
    together = Barrier(guesses)

    def guess(number: int) -> str:
        try:
            together.wait()
            check_sign_in(email=email.format(number), password=f"guess number {number}", network=network.format(number))
        except DomainError as refused:
            return refused.code
        finally:
            connections.close_all()
        return "in"

    with ThreadPoolExecutor(guesses) as pool:
        said = Counter(pool.map(guess, range(guesses)))
    assert said == {"wrong_credentials": let_through, "too_many_tries": guesses - let_through}


def test_concurrent_first_shops_open_one(committed_db: None) -> None:
    visitors = 6
    together = Barrier(visitors)

    def open_shop(number: int) -> str:
        try:
            together.wait()
            open_first_shop(data=FirstShop(**OPENING | {"email": f"visitor{number}@bench.example"}))
        except DomainError as refused:
            return refused.code
        finally:
            connections.close_all()
        return "opened"

    with ThreadPoolExecutor(visitors) as pool:
        said = Counter(pool.map(open_shop, range(visitors)))
    assert said == {"opened": 1, "shop_exists": 5}


def test_unmigrated_database_is_not_ready(db: None) -> None:
    said = Client().get("/readyz").json()
    assert (said["ready"], said["database"]) == (True, "answers")
    MigrationRecorder.Migration.objects.filter(app="files").latest("id").delete()
    answer = Client().get("/readyz")
    assert (answer.status_code, answer.json()) == (
        503,
        {"ready": False, "version": settings.VERSION, "database": "not migrated"},
    )


def test_what_is_shared_without_a_service_worker_is_said_to_be_lost() -> None:
    picture = SimpleUploadedFile("a.jpg", b"picture", content_type="image/jpeg")
    # Another app posts it, without the token of a form.
    answer = Client(enforce_csrf_checks=True).post("/share", {"pictures": picture})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/share?because=not_saved")


def test_guessing_is_throttled_per_address(crew: Crew) -> None:
    browser = Browser()
    for _ in range(5):
        assert sign_in(browser, password="not the password").json()["code"] == "wrong_credentials"
    sixth = sign_in(browser)
    assert (sixth.status_code, sixth.json()["code"]) == (429, "too_many_tries")
    assert 200 <= int(sixth["Retry-After"]) <= 300
    assert sign_in(browser, "office@bench.example").status_code == 200


def test_guessing_is_throttled_per_network_despite_forged_headers(crew: Crew) -> None:
    statuses = [
        sign_in(Browser(), f"nobody{count}@bench.example", **{"X-Forwarded-For": f"10.0.0.{count}"}).status_code
        for count in range(26)
    ]
    assert statuses == [422] * 25 + [429]


def test_client_address_comes_from_our_own_proxy(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "PROXIES", 1)
    guesser = [
        sign_in(Browser(), f"nobody{count}@bench.example", **{"X-Forwarded-For": f"10.0.0.{count}, 198.51.100.7"})
        for count in range(26)
    ]
    assert [answer.status_code for answer in guesser] == [422] * 25 + [429]
    elsewhere = sign_in(Browser(), "nobody@bench.example", **{"X-Forwarded-For": "203.0.113.9"})
    assert elsewhere.status_code == 422


def test_right_password_resets_the_count(crew: Crew) -> None:
    browser = Browser()
    for _ in range(2):
        for _ in range(4):
            sign_in(browser, password="not the password")
        assert sign_in(browser).status_code == 200


def test_unknown_address_and_wrong_password_give_the_same_error(crew: Crew) -> None:
    known, unknown = sign_in(Browser(), password="no"), sign_in(Browser(), "nobody@bench.example", "no")
    assert (known.status_code, known.content) == (unknown.status_code, unknown.content)


def test_passwords_are_stored_as_argon2(crew: Crew) -> None:
    kept = set(User.objects.values_list("password", flat=True))
    assert len(kept) == 3
    assert all(password.startswith("argon2$argon2id$") for password in kept)


def test_former_member_is_signed_out_at_once(crew: Crew) -> None:
    browser = Browser(crew.mechanic)
    with in_shop(crew.shop_id):
        token = make_token(actor=crew.owner, member_id=member_of(crew.mechanic), label="own")
    assert browser.get("customers").status_code == 200
    do(crew.owner, end_membership, id=crew.mechanic.member_id)
    assert browser.get("customers").status_code == 403
    assert by_key(token).status_code == 401


def test_member_changes_their_password(crew: Crew) -> None:
    key = make_token(actor=crew.owner, member_id=member_of(crew.mechanic), label="own")
    here, elsewhere = Browser(), Browser()
    for browser in (here, elsewhere):
        assert sign_in(browser, "mechanic@bench.example").status_code == 200
    wrong = here.post("session/password", {"old": "not it at all", "new": "another long one"})
    assert (wrong.status_code, wrong.json()["code"]) == (422, "wrong_password")
    weak = here.post("session/password", {"old": PASSWORD, "new": "111222333444555"})
    assert (weak.status_code, weak.json()["code"]) == (422, "weak_password")
    assert elsewhere.get("customers").status_code == 200
    assert here.post("session/password", {"old": PASSWORD, "new": "four slow mowers"}).status_code == 200
    assert here.get("customers").status_code == 200
    assert elsewhere.get("customers").status_code == 401
    assert by_key(key).status_code == 401
    assert sign_in(Browser(), "mechanic@bench.example").status_code == 422
    assert sign_in(Browser(), "mechanic@bench.example", "four slow mowers").status_code == 200


def test_guessing_the_old_password_is_throttled_too(crew: Crew) -> None:
    browser = Browser(crew.mechanic)
    said = [browser.post("session/password", {"old": "a guess", "new": "x" * 12}).status_code for _ in range(6)]
    assert said == [422] * 5 + [429]
    assert sign_in(Browser(), "mechanic@bench.example").status_code == 429


def by_key(key: str) -> Any:
    return Client().get("/api/v1/customers", headers={"Authorization": f"Token {key}"})


def test_key_acts_as_its_member_until_revoked(crew: Crew) -> None:
    key = make_token(actor=crew.owner, member_id=member_of(crew.mechanic), label="scale")
    assert by_key(key).status_code == 200
    # No cookie, so no CSRF header is needed.
    client = Client(enforce_csrf_checks=True)
    answer = client.post(
        "/api/v1/customers",
        {"id": "01890000-0000-7000-8000-000000000001", "name": "A"},
        content_type="application/json",
        headers={"Authorization": f"Token {key}", "Idempotency-Key": "01890000-0000-7000-8000-000000000002"},
    )
    assert answer.status_code == 201
    with in_shop(crew.shop_id):
        kept = ApiToken.objects.get()
        assert kept.digest == hashlib.sha256(key.encode()).hexdigest()
        kept.revoked_at = now()
        kept.save()
    for wrong in (key, key + "x", "", "x" * 5000):
        answer = by_key(wrong)
        assert (answer.status_code, answer.json()["code"]) == (401, "bad_token")


def test_first_shop_is_opened_while_there_is_none(committed_db: None) -> None:
    browser = Browser()
    assert browser.get("session").json()["first_shop_needed"] is True
    opened = browser.post("shops", OPENING)
    assert (opened.status_code, opened.json()["member"]["role"]) == (201, "owner")
    assert browser.get("customers").status_code == 200
    again = Browser().post("shops", OPENING | {"email": "eve@bench.example"})
    assert (again.status_code, again.json()["code"]) == (409, "shop_exists")
    assert User.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [("password", "short"), ("zone", "Mars/Base"), ("currency", "dollars"), ("email", "ada"), ("shop_name", "")],
)
def test_invalid_first_shop_is_refused(committed_db: None, field: str, value: str) -> None:
    answer = Browser().post("shops", OPENING | {field: value})
    assert (answer.status_code, [fault["field"] for fault in answer.json()["fields"]]) == (422, [field])
    assert User.objects.count() == 0


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/jobs/1",
        "/index.html",
        "/sw.js",
        "/static/admin/css/base.css",
        "/api/v1/session",
        "/api/v1/customers",
        "/api/v1/openapi.json",
        "/api/docs",
        "/livez",
        "/readyz",
        "/workz",
        "/metrics",
        "/admin/login/",
        "/api/nothing",
        "/static/nothing.css",
    ],
)
@pytest.mark.usefixtures("built_app")
def test_every_response_has_security_headers(crew: Crew, path: str) -> None:
    answer = Browser(crew.owner).client.get(path)
    # A file is closed once it was read.
    answer.getvalue()
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "base-uri 'none'" in policy
    assert "script-src 'self'" in policy
    script = next(part for part in policy.split(";") if part.strip().startswith("script-src"))
    assert "unsafe" not in script
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin"
    assert answer["X-Frame-Options"] == "DENY"
    # The OpenAPI document has no data of a shop: it may be cached and revalidated by its ETag.
    if path.startswith(("/api/v1", "/admin")) and path != "/api/v1/openapi.json":
        assert "no-store" in answer["Cache-Control"]
