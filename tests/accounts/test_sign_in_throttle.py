"""Throttling of sign-ins: guessing is slowed, and does not lock the account's owner out.

By OWASP's ASVS 5, 6.3.1 (from memory).
"""

import statistics
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from unicodedata import category, normalize

import pytest
from django.contrib.auth.hashers import make_password
from django.core import signing
from django.db import connection
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import Settings

from shopapi.accounts.models import LoginAttempt, User
from shopapi.accounts.rules import TRIES_IN_WINDOW, TRY_WINDOW, FirstShop, network_block, sign_in_name
from shopapi.accounts.services import credentials, throttling
from shopapi.accounts.services.credentials import check_sign_in
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Invalid, TooMany
from shopapi.core.schema import parse
from shopapi.quotes.services.shop import open_shop
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew

EMAIL = "mechanic@bench.example"
GUESS = "a guess"
BEGAN = datetime(2026, 5, 5, 15, tzinfo=UTC)
# Spellings that some reader, database or keyboard takes for "mechanic@bench.example"; names of Unicode 15.
WAYS_TO_WRITE_IT = {
    "capitals": "MECHANIC@BENCH.EXAMPLE",
    "dotless i": "mechan\N{LATIN SMALL LETTER DOTLESS I}c@bench.example",
    "capital i with dot": "MECHAN\N{LATIN CAPITAL LETTER I WITH DOT ABOVE}C@bench.example",
    "i and a dot above": "mechani\N{COMBINING DOT ABOVE}c@bench.example",
    "fullwidth": "\uff4d\uff45\uff43\uff48\uff41\uff4e\uff49\uff43@bench.example",
    "fullwidth capitals": "\uff2d\uff25\uff23\uff28\uff21\uff2e\uff29\uff23@bench.example",
    "mathematical": "\U0001d426\U0001d41e\U0001d41c\U0001d421\U0001d41a\U0001d427\U0001d422\U0001d41c@bench.example",
    "circled": "\u24dcechanic@bench.example",
    "superscript": "mechan\u2071c@bench.example",
    "soft hyphen": "mech\u00adanic@bench.example",
    "zero width space": "mechanic\u200b@bench.example",
    "direction marks": "\u200emechanic@bench.example",
    "variation selector": "mechanic\ufe0f@bench.example",
}
OTHERS = {
    "long s": ("\N{LATIN SMALL LETTER LONG S}am@bench.example", "sam@bench.example"),
    "Kelvin sign": ("\N{KELVIN SIGN}im@bench.example", "kim@bench.example"),
    "Angstrom sign": ("\N{ANGSTROM SIGN}sa@bench.example", "\u00e5sa@bench.example"),
    "sharp s": ("stra\N{LATIN SMALL LETTER SHARP S}e@bench.example", "strasse@bench.example"),
    "capital sharp s": ("STRA\N{LATIN CAPITAL LETTER SHARP S}E@bench.example", "strasse@bench.example"),
    "ligature": ("\N{LATIN SMALL LIGATURE FI}nn@bench.example", "finn@bench.example"),
    "final sigma": (
        "\u03bd\u03af\u03ba\u03bf\u03c2@bench.example",
        "\u039d\u0399\u0301\u039a\u039f\u03a3@bench.example",
    ),
    "accent apart": ("rene\u0301@bench.example", "ren\u00e9@bench.example"),
}


@pytest.fixture
def crew(committed_db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


@pytest.fixture
def held() -> Iterator[None]:
    with held_at(BEGAN):
        yield


def tries(*, email: str = EMAIL, network: str = "192.0.2.1", password: str = GUESS, mark: str = "") -> int:
    """0 for a right password, 422 for a wrong one that was checked, else the seconds to wait."""
    try:
        check_sign_in(email=email, password=password, network=network, mark=mark)
    except Invalid:
        return 422
    except TooMany as refused:
        return refused.seconds
    return 0


def guess_for(span: timedelta, *, networks: list[str], emails: list[str]) -> int:
    """Guess as fast as possible from all networks at all accounts; returns how many guesses were checked."""
    looked_at, at = 0, BEGAN
    while at < BEGAN + span:
        with held_at(at):
            said = [tries(email=email, network=network) for network in networks for email in emails]
        looked_at += said.count(422)
        at += timedelta(seconds=max(1, min(wait for wait in said if wait != 422) if set(said) != {422} else 1))
    return looked_at


# (a) One network guesses at one account


def test_from_one_network_five_guesses_in_five_minutes(crew: Crew) -> None:
    assert TRIES_IN_WINDOW == 5
    assert timedelta(minutes=5) == TRY_WINDOW
    for minutes, most in ((5, 5), (60, 60)):
        LoginAttempt.objects.all().delete()
        assert guess_for(timedelta(minutes=minutes), networks=["192.0.2.1"], emails=[EMAIL]) == most


def test_right_password_from_another_network_is_not_throttled(crew: Crew) -> None:
    for minute in range(30):
        with held_at(BEGAN + timedelta(minutes=minute)):
            for _ in range(10):
                tries(network="192.0.2.1")
            assert tries(network="192.0.2.1", password=PASSWORD) not in {0, 422}
            assert tries(network="198.51.100.7", password=PASSWORD) == 0


def test_wrong_guesses_count_despite_another_users_success(crew: Crew, held: None) -> None:
    for _ in range(TRIES_IN_WINDOW):
        assert tries(network="192.0.2.1") == 422
    assert tries(network="198.51.100.7", password=PASSWORD) == 0
    assert tries(network="192.0.2.1") == 300


def test_addresses_of_one_subscriber_are_one_network(crew: Crew, held: None) -> None:
    said = [tries(network=f"2001:db8:1:{n:x}::{n:x}") for n in range(20)]
    assert said == [422] * 5 + [300] * 15
    assert tries(network="2001:db8:2::1", password=PASSWORD) == 0
    assert network_block("::ffff:192.0.2.1") == network_block("192.0.2.1") == "192.0.2.1"
    assert network_block("unix") == "unix"


# (b) Many networks guess at one account


def test_many_networks_share_one_limit(crew: Crew) -> None:
    """A thousand networks: 25 guesses in the first hour, 12 in every other; one alone could make 60 an hour."""
    networks = [f"10.{n // 256}.{n % 256}.1" for n in range(1000)]
    looked_at, at = [0, 0, 0], BEGAN
    for n in range(1000):
        hour = int((at - BEGAN) / timedelta(hours=1))
        if hour == len(looked_at):
            break
        with held_at(at):
            said = tries(network=networks[n])
        looked_at[hour] += said == 422
        at += timedelta(seconds=0 if said == 422 else said)
    assert 15 < looked_at[0] <= 25
    assert max(looked_at[1:]) <= 12


def test_known_browser_has_its_own_count(crew: Crew) -> None:
    known, stranger = Browser(), Browser()
    assert sign_in(known).status_code == 200
    known.client.delete("/api/v1/session")
    for n in range(40):
        tries(network=f"192.0.2.{n}")
    refused = sign_in(stranger)
    assert (refused.status_code, refused.json()["code"]) == (429, "too_many_tries")
    assert 0 < int(refused["Retry-After"]) <= 300
    assert sign_in(known).status_code == 200
    # It has its own count.
    known.client.delete("/api/v1/session")
    said = [sign_in(known, password="a guess").status_code for _ in range(7)]
    assert said == [422] * 5 + [429] * 2
    assert sign_in(known).status_code == 429


def test_mark_is_valid_only_for_its_account_and_password(crew: Crew, held: None) -> None:
    mine = User.objects.get(email=EMAIL)
    other = User.objects.get(email="owner@bench.example")
    before = credentials.known_browser_mark(mine)
    for n in range(10):
        tries(network=f"192.0.2.{n}")
    wrong = [
        credentials.known_browser_mark(other),
        before[:-1] + ("A" if before[-1] != "A" else "B"),
        signing.dumps([str(mine.pk), mine.get_session_auth_hash(), "x"], salt="something else"),
        signing.dumps("text", salt="accounts.known-browser"),
        signing.dumps([1], salt="accounts.known-browser"),
        "",
        "\x00",
        "x" * 5000,
    ]
    assert all(tries(password=PASSWORD, mark=mark, network="198.51.100.9") > 0 for mark in wrong)
    assert tries(password=PASSWORD, mark=before) == 0
    mine.password = make_password("four slow mowers")
    mine.save()
    assert tries(password="four slow mowers", mark=before) > 0
    assert tries(password="four slow mowers", mark=credentials.known_browser_mark(mine)) == 0


def test_password_change_keeps_this_browser_known(crew: Crew) -> None:
    here = Browser()
    assert sign_in(here).status_code == 200
    assert here.post("session/password", {"old": PASSWORD, "new": "four slow mowers"}).status_code == 200
    for n in range(10):
        tries(network=f"192.0.2.{n}")
    here.client.delete("/api/v1/session")
    assert sign_in(here, password="four slow mowers").status_code == 200


# (c) One network guesses at many accounts


def test_one_network_is_throttled_across_accounts(crew: Crew) -> None:
    emails = [f"visitor{n}@bench.example" for n in range(200)]
    looked_at, at = 0, BEGAN
    for n in range(5000):
        with held_at(at):
            said = tries(email=emails[n % len(emails)])
        looked_at += said == 422
        at += timedelta(seconds=0 if said == 422 else said)
        if at > BEGAN + timedelta(minutes=5):
            break
    assert 25 <= looked_at <= 35


def test_known_browser_in_that_network_is_not_throttled(crew: Crew) -> None:
    known, stranger = Browser(), Browser()
    assert sign_in(known).status_code == 200
    for n in range(60):
        tries(email=f"visitor{n}@bench.example", network="127.0.0.1")
    assert sign_in(stranger).status_code == 429
    assert sign_in(known).status_code == 200
    # An unknown browser waits, but is not locked out.
    with held_at(now() + timedelta(seconds=10)):
        assert sign_in(stranger).status_code == 200


# Normalized addresses


@pytest.mark.parametrize("how", WAYS_TO_WRITE_IT)
def test_every_spelling_counts_for_the_same_account(crew: Crew, held: None, how: str) -> None:
    written = WAYS_TO_WRITE_IT[how]
    assert sign_in_name(written) == EMAIL
    assert [tries(email=written) for _ in range(5)] == [422] * 5
    assert tries(password=PASSWORD) == 300
    assert tries(email=written, password=PASSWORD, network="198.51.100.7") == 0


@pytest.mark.parametrize("how", OTHERS)
def test_letters_with_equal_folding_are_equal(how: str) -> None:
    one, other = OTHERS[how]
    assert sign_in_name(one) == sign_in_name(other)


@pytest.mark.parametrize("how", WAYS_TO_WRITE_IT)
def test_another_spelling_cannot_join_as_a_second_user(crew: Crew, how: str) -> None:
    data = {
        "shop_name": "B",
        "zone": "UTC",
        "name": "Eve",
        "email": WAYS_TO_WRITE_IT[how].strip(),
        "password": PASSWORD,
    }
    with pytest.raises(Invalid) as refused:
        open_shop(data=parse(FirstShop, data))
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("email", "email_taken")]


def test_address_with_too_long_normalized_form_is_refused() -> None:
    # U+FDFA normalizes to 18 letters.
    data = {
        "shop_name": "B",
        "zone": "UTC",
        "name": "Eve",
        "email": "\ufdfa" * 200 + "@b.example",
        "password": PASSWORD,
    }
    with pytest.raises(Invalid) as refused:
        parse(FirstShop, data)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("email", "address_too_long")]


ODD = "iIkKsSfF\u0131\u0130\u017f\u212a\u00df\u1e9e\ufb01\u00e5\u212b\u0307\u0301\u0345\u200b\u00ad\ufe0f @.x"


@given(st.text(st.one_of(st.characters(), st.sampled_from(ODD)), max_size=40))
def test_normalization_is_idempotent(text: str) -> None:
    """Normalization is idempotent and independent of Unicode's form."""
    name = sign_in_name(text)
    assert sign_in_name(name) == name
    for form in ("NFC", "NFD", "NFKC", "NFKD"):
        assert sign_in_name(normalize(form, text)) == name


def test_every_letter_that_finds_an_account_counts_for_it(crew: Crew, held: None) -> None:
    """Every character that Python, Unicode's forms or PostgreSQL treat as a letter of the address."""
    every = [chr(code) for code in range(0x80, 0x110000) if category(chr(code)) not in {"Cs", "Cc", "Cn", "Co"}]
    with connection.cursor() as cursor:
        cursor.execute("SELECT letter, upper(letter), lower(letter) FROM unnest(%s::text[]) letter", [every])
        folded = cursor.fetchall()
    alike = [
        (letter, plain)
        for letter, upper, lower in folded
        for plain in sorted(set("mechanic"))
        if plain in {lower, upper.lower(), letter.casefold(), letter.upper().lower(), normalize("NFKC", letter).lower()}
    ]
    assert ("\N{LATIN SMALL LETTER DOTLESS I}", "i") in alike
    assert len(alike) > 80
    account = throttling.throttle_key("account", EMAIL)
    for letter, plain in alike:
        written = EMAIL.replace(plain, letter, 1)
        found = tries(email=written, password=PASSWORD) == 0
        assert tries(email=written) == 422
        assert found is (set(LoginAttempt.objects.values_list("subject_digest", flat=True)) == {account}), (
            letter,
            plain,
        )
        LoginAttempt.objects.all().delete()


# Accounts cannot be enumerated


def test_unknown_address_takes_as_long_as_a_known_one(committed_db: None, real_hash: None) -> None:
    """With the real hash: without it an unknown address would be answered some thirty times as fast."""
    open_crew()
    took: dict[str, list[float]] = {"mechanic@bench.example": [], "nobody@bench.example": []}
    for n in range(4):
        for email, times in took.items():
            begun = time.perf_counter()
            assert tries(email=email, network=f"192.0.2.{n}") == 422
            times.append(time.perf_counter() - begun)
            LoginAttempt.objects.all().delete()
    known, unknown = (statistics.median(times) for times in took.values())
    assert 1 / 3 < known / unknown < 3


def sign_in(browser: Browser, email: str = EMAIL, password: str = PASSWORD) -> Any:
    return browser.post("session", {"email": email, "password": password})
