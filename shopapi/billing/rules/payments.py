"""Payments: what was taken or given back, how, and what a form of one may say.

Rows are only added. `amount_minor` is what counts for the bill, `tip_minor` came on top of it and never pays a bill; of
the kind tip, the amount itself is the tip. A mistaken entry is reversed by its opposite: a row with the same figures
that names it in `reverses_id` and counts below zero. No card data is ever stored.
"""

import re
from collections.abc import Iterable
from datetime import date
from typing import Annotated, Protocol
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.schema import Label, Moment, OptionalText, Row, Schema

MOST_MINOR = 10**11
Taken = Annotated[int, Field(ge=1, le=MOST_MINOR)]
Tip = Annotated[int, Field(ge=0, le=MOST_MINOR)]


class PaymentKind(TextEnum):
    """payment: of a bill. deposit: before it. refund: given back to the customer. tip: for the crew, on no bill."""

    PAYMENT = "payment"
    DEPOSIT = "deposit"
    REFUND = "refund"
    TIP = "tip"


class PaymentMethod(TextEnum):
    """card: on the shop's own terminal. credit: from, or as a refund to, what the shop keeps for the customer."""

    CASH = "cash"
    CHECK = "check"
    CARD = "card"
    TRANSFER = "transfer"
    CREDIT = "credit"
    OTHER = "other"


class _Entry(Schema):
    """What every entry says. It is of a job, an invoice, or both. `paid_on` null: the day of `paid_at` in the shop.

    `reference`: the number of a check or a transfer, the receipt number of the terminal.
    """

    id: UUID
    job_id: UUID | None = None
    invoice_id: UUID | None = None
    method: PaymentMethod
    amount_minor: Taken
    reference: Label = ""
    note: OptionalText = ""
    paid_at: Moment
    paid_on: date | None = None


class PaymentRecord(_Entry):
    """Record money taken: a payment, a deposit or a tip."""

    kind: PaymentKind = PaymentKind.PAYMENT
    tip_minor: Tip = 0


class RefundRecord(_Entry):
    """Record money given back, or kept for the customer as credit."""


class PaymentReversal(Schema):
    """Reverse an entry that was a mistake, with its opposite of the same day."""

    id: UUID
    reverses_id: UUID
    paid_at: Moment
    note: OptionalText = ""


class PaymentRow(Row):
    job_id: UUID | None
    invoice_id: UUID | None
    customer_id: UUID
    kind: PaymentKind
    method: PaymentMethod
    amount_minor: int
    tip_minor: int
    reference: str
    note: str
    paid_at: AwareDatetime
    paid_on: date
    member_id: UUID | None
    reverses_id: UUID | None


class PaymentFigures(Protocol):
    """The figures of an entry, from its row or its model."""

    @property
    def kind(self) -> str: ...
    @property
    def method(self) -> str: ...
    @property
    def amount_minor(self) -> int: ...
    @property
    def tip_minor(self) -> int: ...
    @property
    def reverses_id(self) -> UUID | None: ...


def toward_bill(entry: PaymentFigures) -> int:
    """What an entry counts for the bill, in minor units; below zero where money went back."""
    if entry.kind == PaymentKind.TIP:
        return 0
    return _signed(entry, -entry.amount_minor if entry.kind == PaymentKind.REFUND else entry.amount_minor)


def tip_in(entry: PaymentFigures) -> int:
    """The tip in an entry, in minor units."""
    return _signed(entry, entry.amount_minor if entry.kind == PaymentKind.TIP else entry.tip_minor)


def changed_hands(entry: PaymentFigures) -> int:
    """What came into the shop's hands with an entry, tips too, in minor units; of the customer's credit nothing."""
    return 0 if entry.method == PaymentMethod.CREDIT else toward_bill(entry) + tip_in(entry)


def credit_of(entries: Iterable[PaymentFigures]) -> int:
    """What the shop keeps for a customer: refunds to credit less what was paid from it, in minor units."""
    return -sum(toward_bill(entry) for entry in entries if entry.method == PaymentMethod.CREDIT)


def _signed(entry: PaymentFigures, minor: int) -> int:
    return minor if entry.reverses_id is None else -minor


CARD_NUMBER = re.compile(r"(?:[0-9][ -]?){13,19}")


def holds_card_number(text: str) -> bool:
    """Whether a text holds 13 to 19 digits whose last one is the check digit of a card number (ISO/IEC 7812-1).

    >>> holds_card_number("4111 1111 1111 1111"), holds_card_number("4111111111111112"), holds_card_number("slip 42")
    (True, False, False)
    """
    return any(_luhn(re.sub(r"\D", "", found)) for found in CARD_NUMBER.findall(text))


def _luhn(digits: str) -> bool:
    doubled = [int(digit) * (2 if at % 2 else 1) for at, digit in enumerate(reversed(digits))]
    return sum(number - 9 if number > 9 else number for number in doubled) % 10 == 0


def payment_faults(data: _Entry) -> list[FieldError]:
    """What is wrong with an entry by itself, by field; empty: nothing."""
    faults = []
    if isinstance(data, PaymentRecord):
        if data.kind == PaymentKind.REFUND:
            faults.append(FieldError("kind", "refund_by_itself"))
        if data.kind == PaymentKind.TIP and data.tip_minor:
            faults.append(FieldError("tip_minor", "tip_on_a_tip"))
    if data.method == PaymentMethod.CARD:
        faults += [
            FieldError(name, "card_number") for name in ("reference", "note") if holds_card_number(getattr(data, name))
        ]
    return faults
