"""The cost of the password hash, and which new passwords are refused."""

import gzip
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.auth import password_validation
from django.contrib.auth.hashers import Argon2PasswordHasher

from shopapi.accounts import messages, messages_es
from shopapi.accounts.models import User
from shopapi.accounts.services.users import refuse_weak_password
from shopapi.core.errors import Invalid
from tests.factories.crews import PASSWORD, Browser, open_crew
from tests.structure.source_tree import ROOT
from tests.structure.test_messages import PLACEHOLDER

# OWASP Password Storage Cheat Sheet, Argon2id: 19 MiB and two passes at least. From memory.
LEAST_MEMORY_KIB, LEAST_PASSES = 19 * 1024, 2
HASH = "import django; django.setup(); from django.contrib.auth.hashers import make_password; print(make_password('x'))"


def test_password_is_hashed_at_full_cost_outside_the_tests() -> None:
    done = subprocess.run(
        [sys.executable, "-c", HASH], cwd=ROOT, env=os.environ, check=True, capture_output=True, text=True
    )
    decoded = Argon2PasswordHasher().decode(done.stdout.strip())
    assert decoded["variety"] == "argon2id"
    assert decoded["memory_cost"] >= LEAST_MEMORY_KIB
    assert decoded["time_cost"] >= LEAST_PASSES


# The validator's own list, sorted by how often each was seen: 20,000 passwords.
COMMON = gzip.decompress((Path(password_validation.__file__).parent / "common-passwords.txt.gz").read_bytes())
LONG_ENOUGH = [word for word in COMMON.decode().splitlines() if len(word) >= 12]


def test_list_of_common_passwords_is_long() -> None:
    # OWASP ASVS 5.0.0, V6.2.4: at least the 3,000 most common ones.
    assert len(COMMON.splitlines()) > 15_000
    assert len(LONG_ENOUGH) > 50


def faults_of(password: str, email: str = "ada@bench.example") -> list[str]:
    try:
        refuse_weak_password(password, User(email=email), field="new")
    except Invalid as refused:
        return [f"{fault.field} {fault.code} {fault.message}" for fault in refused.fields]
    return []


def test_every_common_password_is_refused_in_any_case() -> None:
    said = {tuple(faults_of(word)[:1]) for listed in LONG_ENOUGH for word in (listed, listed.upper())}
    assert said == {("new weak_password password_too_common",)}


@pytest.mark.parametrize(
    ("password", "email", "fault"),
    [
        ("larkspur.marsh", "larkspur.marsh@bench.example", "password_like_email"),
        ("ivo@larkspur.ex", "ivo@larkspur.example", "password_like_email"),
        ("Larkspur-Repair", "ivo@larkspurrepair.example", "password_like_email"),
        ("928374650192", "ada@bench.example", "password_all_digits"),
    ],
)
def test_password_like_the_address_or_of_digits_is_refused(password: str, email: str, fault: str) -> None:
    assert faults_of(password, email) == [f"new weak_password {fault}"]


def test_words_that_nobody_else_uses_are_accepted() -> None:
    assert faults_of("four slow mowers") == []


OPENING = {
    "shop_name": "Bench & Bar",
    "zone": "America/Chicago",
    "currency": "USD",
    "name": "Ada",
    "email": "ada@bench.example",
}


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en", "This password is on the list of common ones that are tried first. Choose another one."),
        ("es", "Esta contraseña está en la lista de las más comunes, que se prueban primero. Elija otra."),
    ],
)
def test_owner_of_a_first_shop_cannot_choose_a_common_password(
    committed_db: None, language: str, sentence: str
) -> None:
    body = OPENING | {"password": LONG_ENOUGH[0]}
    answer = Browser().post("shops", body, **{"Accept-Language": language})
    assert (answer.status_code, answer.json()["code"]) == (422, "weak_password")
    assert [(fault["field"], fault["words"]) for fault in answer.json()["fields"]] == [("password", sentence)]
    assert User.objects.count() == 0


@pytest.mark.parametrize(
    ("password", "words"),
    [
        (LONG_ENOUGH[0], "This password is on the list of common ones that are tried first. Choose another one."),
        ("mechanic@bench.ex", "This password is too much like the email address. Choose another one."),
    ],
)
def test_member_cannot_change_to_a_weak_password(committed_db: None, password: str, words: str) -> None:
    browser = Browser(open_crew().mechanic)
    answer = browser.post("session/password", {"old": PASSWORD, "new": password})
    assert (answer.status_code, [fault["words"] for fault in answer.json()["fields"]]) == (422, [words])


def test_every_spanish_sentence_has_an_english_one_with_the_same_values() -> None:
    for code, sentence in messages_es.MESSAGES.items():
        assert PLACEHOLDER.findall(sentence) == PLACEHOLDER.findall(messages.MESSAGES[code]), code
