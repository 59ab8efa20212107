"""Transfers: the shop's account, the code for bank apps, the link to a payment page."""

import json
import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from shopapi.billing.rules.payment_link import link_faults, payment_link
from shopapi.billing.rules.payments import holds_card_number
from shopapi.billing.rules.transfers import Transfer, account_faults, transfer_code
from tests.browser.qr_decoder import decode_qr

FIXTURES = Path(__file__).parents[2] / "fixtures" / "billing"
LINKS = json.loads((FIXTURES / "payment_links.json").read_text())
CODES = json.loads((FIXTURES / "transfer_codes.json").read_text())
# The IBAN that the SWIFT IBAN registry gives as the example of Germany, and a BIC of the form of ISO 9362.
TRANSFER = Transfer("Kettle Ford", "DE89 3704 0044 0532 0130 00", "COBADEFF", "EUR", 12_345, "INV-1001")


def lines_of(wanted: Transfer) -> list[str]:
    """The lines of a code, read by our own reader of ISO/IEC 18004, which knows nothing of the library that drew it."""
    code = transfer_code(wanted)
    assert code is not None
    # EPC069-12 version 2.1 (9 February 2012), section 2: error correction M, at most version 13.
    assert (code.error, code.mode) == ("M", "byte")
    assert code.version == 5, "the version that the reader of these tests reads"
    dark = {(x, y) for y, row in enumerate(code.matrix) for x, module in enumerate(row) if module & 1}
    return decode_qr(dark).split("\n")


def test_a_code_has_the_lines_of_the_guideline() -> None:
    """EPC069-12 version 2.1, the table of data elements: one a line, empty where left out, none after the last."""
    lines = lines_of(TRANSFER)
    assert lines == [
        *("BCD", "002", "1", "SCT"),
        *("COBADEFF", "Kettle Ford", "DE89370400440532013000", "EUR123.45", "", "", "INV-1001"),
    ]


@pytest.mark.parametrize("vector", CODES, ids=lambda vector: str(vector["expect"]))
def test_codes_that_the_phone_draws_too(vector: dict[str, Any]) -> None:
    fields = ("name", "iban", "bic", "currency", "text")
    wanted = Transfer(amount_minor=vector["minor"], **{name: vector[name] for name in fields})
    if vector["expect"] is None:
        assert transfer_code(wanted) is None
    else:
        assert lines_of(wanted) == vector["expect"].split("\n")


@pytest.mark.parametrize("minor", [1, 10, 100, 99_950, 100_000, 99_999_999_999])
def test_the_amount_is_exact(minor: int) -> None:
    (line,) = (line for line in lines_of(replace(TRANSFER, amount_minor=minor)) if line.startswith("EUR"))
    assert re.fullmatch(r"EUR[0-9]{1,9}(\.[0-9]{1,2})?", line)
    assert Decimal(line.removeprefix("EUR")) * 100 == minor


def test_other_letters_and_line_breaks_stay_within_their_line() -> None:
    lines = lines_of(replace(TRANSFER, name="Kühne\nSöhne", text="Nr 1\n\nEUR9"))
    assert (lines[5], lines[10], len(lines)) == ("Kühne Söhne", "Nr 1 EUR9", 11)


@pytest.mark.parametrize("letter", ["N", "ü", "鍋"])
def test_the_longest_values_still_fit(letter: str) -> None:
    """EPC069-12: a name of 70 and a text of 140 characters at most, 331 bytes, version 13; longer ones are cut."""
    long = replace(TRANSFER, name=letter * 200, text=letter * 400, bic="COBADEFF123", amount_minor=99_999_999_999)
    code = transfer_code(long)
    assert code is not None
    assert isinstance(code.version, int)
    assert code.version <= 13


@pytest.mark.parametrize(
    "without",
    [{"currency": "USD"}, {"iban": ""}, {"iban": "DE89370400440532013001"}, {"amount_minor": 0}, {"bic": "COBA"}],
    ids=str,
)
def test_no_code_that_a_bank_would_refuse(without: dict[str, Any]) -> None:
    assert transfer_code(replace(TRANSFER, **without)) is None


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, []),
        ({"iban": "GB82 WEST 1234 5698 7654 32", "account_name": "Kettle Ford"}, []),
        ({"iban": "GB82WEST12345698765433", "account_name": "Kettle Ford"}, ["iban:iban_wrong"]),
        ({"iban": "DE8937040044053201300", "account_name": "Kettle Ford"}, ["iban:iban_wrong"]),
        ({"iban": "DE89370400440532013000"}, ["account_name:account_without_name"]),
        ({"bic": "COBADEFF"}, ["iban:bic_without_iban"]),
        ({"iban": "DE89370400440532013000", "bic": "COBADEF", "account_name": "K"}, ["bic:bic_wrong"]),
    ],
    ids=str,
)
def test_an_account_is_checked(fields: dict[str, str], expected: list[str]) -> None:
    """IBANs from the examples of ISO 13616 (mod 97 = 1); one digit changed or missing is found."""
    faults = account_faults(**{"iban": "", "bic": "", "account_name": "", **fields})
    assert [f"{fault.field}:{fault.code}" for fault in faults] == expected


@pytest.mark.parametrize("vector", LINKS, ids=lambda vector: vector["template"])
def test_payment_links(vector: dict[str, Any]) -> None:
    found = payment_link(
        vector["template"], number=vector["number"], amount_minor=vector["minor"], currency=vector["currency"]
    )
    assert found == vector["expect"]
    assert [fault.code for fault in link_faults(vector["template"])] == ([vector["fault"]] if vector["fault"] else [])


@pytest.mark.parametrize(
    "text",
    [
        # Test numbers that card networks publish for terminals; from memory.
        "4111 1111 1111 1111",
        "paid with 5555-5555-5555-4444",
        "378282246310005",
    ],
)
def test_a_card_number_is_recognized(text: str) -> None:
    assert holds_card_number(text)


@pytest.mark.parametrize("text", ["4111 1111 1111 1112", "slip 004211 of 2026-11-30", ""])
def test_other_numbers_are_not_taken_for_one(text: str) -> None:
    assert not holds_card_number(text)
