"""Second factors: an authenticator app, recovery codes, passkeys; proving again who is there."""

import base64
import re
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from shopapi.accounts.models import AuthenticatorApp, Passkey, RecoveryCode, User
from shopapi.accounts.rules.totp import STEP_SECONDS, base32, hotp, matching_step, step_of, totp_uri
from shopapi.accounts.services.tokens import make_token
from shopapi.core.clock import held_at, now
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from tests.factories.crews import PASSWORD, Browser, Crew, member_of, open_crew
from tests.factories.soft_passkey import PRESENT, SoftPasskey

EMAIL = "mechanic@bench.example"
# RFC 6238, appendix B, SHA-1: Unix time and code of eight digits.
RFC_6238 = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]
RFC_SECRET = b"12345678901234567890"


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


@pytest.mark.parametrize(("seconds", "code"), RFC_6238)
def test_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    at = datetime.fromtimestamp(seconds, UTC)
    assert hotp(RFC_SECRET, step_of(at), 8) == code
    assert matching_step(RFC_SECRET, code[2:], at, after=0) == step_of(at)


def test_code_counts_one_step_around_and_once() -> None:
    at = datetime(2026, 5, 4, 12, tzinfo=UTC)
    code = hotp(RFC_SECRET, step_of(at))
    found = [
        matching_step(RFC_SECRET, code, at + timedelta(seconds=STEP_SECONDS * off), after=0) is not None
        for off in (-2, -1, 0, 1, 2)
    ]
    assert found == [False, True, True, True, False]
    assert matching_step(RFC_SECRET, code, at, after=step_of(at)) is None
    assert matching_step(RFC_SECRET, "\u0661\u0662\u0663456", at, after=0) is None


def test_address_for_the_app_names_secret_and_person() -> None:
    url = urlsplit(totp_uri(RFC_SECRET, "kim@bench.example", "Drawbar"))
    assert (url.scheme, url.netloc, url.path) == ("otpauth", "totp", "/Drawbar%3Akim%40bench.example")
    assert parse_qs(url.query) == {
        "secret": [base32(RFC_SECRET)],
        "issuer": ["Drawbar"],
        "digits": ["6"],
        "period": ["30"],
    }


def sign_in(code: str | None = None, password: str = PASSWORD, browser: Browser | None = None) -> Any:
    body = {"email": EMAIL, "password": password} | ({} if code is None else {"code": code})
    return (browser or Browser()).post("session", body)


def signed_in(code: str | None = None) -> Browser:
    browser = Browser()
    assert sign_in(code, browser=browser).status_code == 200
    return browser


class App:
    """An authenticator app: shows the code of a moment."""

    def __init__(self, secret: str) -> None:
        self.secret = base64.b32decode(secret + "=" * (-len(secret) % 8))

    def code(self, steps: int = 0) -> str:
        return hotp(self.secret, step_of(now()) + steps)


def with_app(browser: Browser) -> tuple[App, list[str]]:
    app = App(browser.post("session/authenticator", {}).json()["secret"])
    confirmed = browser.post("session/authenticator/confirm", {"code": app.code(-1)})
    assert confirmed.status_code == 200, confirmed.json()
    return app, confirmed.json()["codes"]


def with_passkey(browser: Browser, label: str = "Phone") -> tuple[SoftPasskey, list[str]]:
    passkey = SoftPasskey()
    options = browser.post("session/passkeys/options", {}).json()
    added = browser.post("session/passkeys", passkey.create(options, label))
    assert added.status_code == 201, added.json()
    return passkey, added.json()["codes"]


def by_passkey(passkey: SoftPasskey, browser: Browser | None = None) -> Any:
    browser = browser or Browser()
    options = browser.post("session/passkey/options", {}).json()
    assert options["allow"] == []
    return browser.post("session/passkey", passkey.sign(options))


def test_password_alone_no_longer_signs_in_once_an_app_is_set_up(crew: Crew) -> None:
    here, elsewhere = signed_in(), signed_in()
    begun = here.post("session/authenticator", {}).json()
    # Before its first code it changes nothing.
    assert sign_in().status_code == 200
    app = App(begun["secret"])
    wrong = here.post("session/authenticator/confirm", {"code": "000000"})
    assert (wrong.status_code, wrong.json()["code"]) == (422, "wrong_code")
    done = here.post("session/authenticator/confirm", {"code": app.code(-1)})
    assert len(done.json()["codes"]) == 10
    assert (here.get("customers").status_code, elsewhere.get("customers").status_code) == (200, 401)
    asked = sign_in()
    assert (asked.status_code, asked.json()["code"]) == (422, "second_factor_needed")
    assert asked.json()["context"] == {"authenticator": 1, "passkey": 0}
    assert [fault["field"] for fault in asked.json()["fields"]] == ["code"]
    assert sign_in(password="not it at all").json()["code"] == "wrong_credentials"
    code = app.code()
    assert sign_in(f"{code[:3]} {code[3:]}").status_code == 200
    # No code is used twice, nor one from before it.
    assert sign_in(code).json()["code"] == "wrong_code"
    kept = AuthenticatorApp.objects.get()
    assert begun["secret"] not in kept.secret
    again = here.post("session/authenticator", {})
    assert (again.status_code, again.json()["code"]) == (409, "authenticator_known")


def test_recovery_code_signs_in_once(crew: Crew) -> None:
    here = signed_in()
    _, codes = with_app(here)
    assert sorted(set(codes)) == sorted(codes)
    assert all(re.fullmatch(r"([a-z0-9]{4}-){3}[a-z0-9]{4}", code) for code in codes)
    assert {len(digest) for digest in RecoveryCode.objects.values_list("digest", flat=True)} == {64}
    assert sign_in(codes[0].upper().replace("-", " ")).status_code == 200
    assert sign_in(codes[0]).json()["code"] == "wrong_code"
    assert here.get("session/factors").json()["codes_left"] == 9
    fresh = here.post("session/recovery-codes", {})
    assert fresh.status_code == 201
    assert sign_in(codes[1]).json()["code"] == "wrong_code"
    assert sign_in(fresh.json()["codes"][1]).status_code == 200


def test_wrong_codes_are_throttled_and_the_right_password_does_not_reset_them(crew: Crew) -> None:
    app, codes = with_app(signed_in())
    for _ in range(5):
        assert sign_in("000000").json()["code"] == "wrong_code"
        assert sign_in().json()["code"] == "second_factor_needed"
    refused = sign_in(app.code())
    assert (refused.status_code, refused.json()["code"]) == (429, "too_many_tries")
    assert sign_in(codes[0]).status_code == 429
    with held_at(now() + timedelta(minutes=6)):
        assert sign_in(app.code()).status_code == 200


def test_passkey_alone_signs_in_and_asks_the_password_for_another_factor(crew: Crew) -> None:
    here, elsewhere = signed_in(), signed_in()
    passkey, codes = with_passkey(here, "Own phone")
    assert len(codes) == 10
    assert elsewhere.get("customers").status_code == 401
    browser = Browser()
    answer = by_passkey(passkey, browser)
    assert (answer.status_code, answer.json()["member"]["role"]) == (200, "mechanic")
    assert browser.get("customers").status_code == 200
    assert sign_in().json()["context"] == {"authenticator": 0, "passkey": 1}
    assert sign_in(codes[0]).status_code == 200
    [row] = here.get("session/factors").json()["passkeys"]
    assert (row["label"], row["last_used_at"] is None) == ("Own phone", False)
    # A second one brings no new codes, and the browser is told which it has.
    options = here.post("session/passkeys/options", {}).json()
    assert options["exclude"] == [passkey.create(options)["credential_id"]]
    assert with_passkey(here)[1] == []


def test_replayed_or_forged_answer_of_a_passkey_is_refused(crew: Crew) -> None:
    passkey, _ = with_passkey(signed_in())
    browser = Browser()
    options = browser.post("session/passkey/options", {}).json()
    answer = passkey.sign(options)
    assert browser.post("session/passkey", answer).status_code == 200
    # Again in the same session, in another one, and for a new challenge.
    assert refusal(browser.post("session/passkey", answer)) == "passkey_refused"
    other = Browser()
    assert refusal(other.post("session/passkey", answer)) == "passkey_refused"
    fresh = other.post("session/passkey/options", {}).json()
    assert refusal(other.post("session/passkey", answer)) == "passkey_refused"
    # The challenge went with the first answer.
    assert refusal(other.post("session/passkey", passkey.sign(fresh))) == "passkey_refused"


def refusal(answer: Any) -> str:
    assert answer.status_code == 422, answer.status_code
    return str(answer.json()["code"])


@pytest.mark.parametrize("fault", ["origin", "domain", "unlocked", "copied", "key", "person", "late", "bytes"])
def test_answer_of_a_passkey_is_checked(crew: Crew, fault: str) -> None:
    passkey, _ = with_passkey(signed_in())
    browser = Browser()
    options = browser.post("session/passkey/options", {}).json()
    if fault == "origin":
        passkey.origin = "http://localhost:9000"
    if fault == "domain":
        options["rp_id"] = "elsewhere.example"
    if fault == "unlocked":
        passkey.flags = PRESENT
    if fault == "copied":
        passkey.counter = 1
    if fault == "key":
        passkey.key = SoftPasskey().key
    if fault == "person":
        passkey.user_handle = "AAAAAAAAAAAAAAAAAAAAAA"
    answer = passkey.sign(options)
    if fault == "bytes":
        answer["authenticator_data"] = answer["authenticator_data"][:20]
    with held_at(now() + timedelta(minutes=5 if fault == "late" else 0, seconds=1)):
        assert refusal(browser.post("session/passkey", answer)) == "passkey_refused"
    assert browser.get("customers").status_code == 401


def test_passkey_of_somebody_else_proves_nothing(crew: Crew) -> None:
    passkey, _ = with_passkey(signed_in())
    owner = Browser()
    assert owner.post("session", {"email": "owner@bench.example", "password": PASSWORD}).status_code == 200
    options = owner.post("session/proof/options", {}).json()
    assert options["allow"] == []
    assert refusal(owner.post("session/proof", {"passkey": passkey.sign(options)})) == "passkey_refused"
    known = passkey.create(owner.post("session/passkeys/options", {}).json())
    answer = owner.post("session/passkeys", known)
    assert (answer.status_code, answer.json()["code"]) == (409, "passkey_known")


def test_factors_change_only_after_a_recent_proof(crew: Crew) -> None:
    here = signed_in()
    passkey, _ = with_passkey(here)
    [row] = here.get("session/factors").json()["passkeys"]
    paths = [
        "session/passkeys/options",
        "session/passkeys",
        f"session/passkeys/{row['id']}/remove",
        "session/authenticator",
        "session/authenticator/confirm",
        "session/authenticator/remove",
        "session/recovery-codes",
    ]
    with held_at(now() + timedelta(minutes=16)):
        said = {(answer.status_code, answer.json()["code"]) for answer in (here.post(path, {}) for path in paths)}
        assert said == {(403, "proof_needed")}
        wrong = here.post("session/proof", {"password": "not it at all"})
        assert [fault["field"] for fault in wrong.json()["fields"]] == ["password"]
        assert here.post("session/recovery-codes", {}).status_code == 403
        options = here.post("session/proof/options", {}).json()
        assert len(options["allow"]) == 1
        assert here.post("session/proof", {"passkey": passkey.sign(options)}).status_code == 204
        assert here.post("session/recovery-codes", {}).status_code == 201
    with held_at(now() + timedelta(minutes=40)):
        assert here.post("session/recovery-codes", {}).status_code == 403
        assert here.post("session/proof", {"password": PASSWORD}).status_code == 204
        assert here.post(f"session/passkeys/{row['id']}/remove", {}).status_code == 204
    assert (Passkey.objects.count(), RecoveryCode.objects.count()) == (0, 0)
    assert sign_in().status_code == 200


def test_removed_app_is_asked_for_no_more_and_all_is_in_the_audit_trail(crew: Crew) -> None:
    here = signed_in()
    app, _ = with_app(here)
    elsewhere = signed_in(app.code())
    assert here.post("session/authenticator/remove", {}).status_code == 204
    assert elsewhere.get("customers").status_code == 401
    assert sign_in().status_code == 200
    with in_shop(crew.shop_id):
        events = list(
            AuditEvent.objects.filter(member_id=crew.mechanic.member_id, event__startswith="authenticator")
            .order_by("id")
            .values_list("event", flat=True)
        )
    assert events == ["authenticator app added", "authenticator app removed"]
    refused = here.post("session/recovery-codes", {})
    assert (refused.status_code, refused.json()["code"]) == (409, "no_second_factor")


def test_key_of_another_program_cannot_touch_factors(crew: Crew) -> None:
    key = make_token(actor=crew.owner, member_id=member_of(crew.mechanic), label="own")
    answer = Browser().post("session/authenticator", {}, Authorization=f"Bearer {key}")
    assert (answer.status_code, answer.json()["code"]) == (403, "session_needed")
    assert AuthenticatorApp.objects.count() == 0


def test_former_member_gets_nothing_by_a_passkey(crew: Crew) -> None:
    passkey, _ = with_passkey(signed_in())
    User.objects.filter(sign_in=EMAIL).update(is_active=False)
    assert refusal(by_passkey(passkey)) == "passkey_refused"


def test_second_factor_is_asked_for_in_spanish(crew: Crew) -> None:
    with_app(signed_in())
    body = {"email": EMAIL, "password": PASSWORD}
    said = Browser().post("session", body, **{"Accept-Language": "es"}).json()["detail"]
    assert said == "Escriba el código de su aplicación de autenticación, o un código de recuperación."
