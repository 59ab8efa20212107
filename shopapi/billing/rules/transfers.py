"""Transfers by bank: the shop's account, and the code that a customer's bank app reads.

The code is that of the European Payments Council, guideline EPC069-12, version 002: a QR code of at most version 13,
error correction M, with one value a line. It is for credit transfers in euro; for other currencies there is none.
"""

from dataclasses import dataclass
from decimal import Decimal

import segno
from schwifty import BIC, IBAN
from schwifty.exceptions import SchwiftyException
from segno import helpers

from shopapi.core.errors import FieldError

EURO = "EUR"
# In characters by the guideline; in bytes so that all lines together stay within its 331.
MOST_NAME, MOST_TEXT = (70, 140), (140, 108)
MOST_MINOR = 99_999_999_999
UTF_8 = 1


@dataclass(frozen=True)
class Transfer:
    """A transfer that a code asks for; `text` says what for."""

    name: str
    iban: str
    bic: str
    currency: str
    amount_minor: int
    text: str


def account_faults(*, iban: str, bic: str, account_name: str) -> list[FieldError]:
    """What is wrong with the account of a shop, by field; empty: nothing. No IBAN: no account."""
    faults = []
    if iban and not _is_valid(IBAN, iban):
        faults.append(FieldError("iban", "iban_wrong"))
    if bic and not _is_valid(BIC, bic):
        faults.append(FieldError("bic", "bic_wrong"))
    if iban and not account_name:
        faults.append(FieldError("account_name", "account_without_name"))
    if bic and not iban:
        faults.append(FieldError("iban", "bic_without_iban"))
    return faults


def _is_valid(kind: type[IBAN] | type[BIC], text: str) -> bool:
    try:
        kind(text)
    except SchwiftyException:
        return False
    return True


def transfer_code(wanted: Transfer) -> segno.QRCode | None:
    """The code of a transfer; None where it has none: no valid account, not in euro, nothing to pay."""
    faults = account_faults(iban=wanted.iban, bic=wanted.bic, account_name=wanted.name)
    if faults or not wanted.iban or wanted.currency != EURO or not 0 < wanted.amount_minor <= MOST_MINOR:
        return None
    return helpers.make_epc_qr(
        name=_line(wanted.name, MOST_NAME),
        iban=IBAN(wanted.iban).compact,
        amount=Decimal(wanted.amount_minor) / 100,
        text=_line(wanted.text, MOST_TEXT),
        bic=BIC(wanted.bic).compact if wanted.bic else None,
        encoding=UTF_8,
    )


def _line(text: str, most: tuple[int, int]) -> str:
    """A text as one line of the code, of at most so many characters and bytes."""
    characters, size = most
    return " ".join(text.split())[:characters].encode()[:size].decode(errors="ignore").strip()
