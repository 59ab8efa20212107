"""An invoice or credit note in the terms of EN 16931-1, whatever syntax it is then written in.

`BT-1` and so on beside a field is its business term there. Amounts are exact decimals of the currency. A credit note
(381) has positive amounts, as both syntaxes expect. The totals are not stated but computed (`totals.py`).
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

Category = Literal["S", "Z", "E", "O"]
"""How an amount is taxed (UNTDID 5305): S at a rate, Z at zero, E exempt, O not subject to value added tax."""

ZERO = Decimal(0)
# Amounts have at most two decimal digits (BR-DEC-01 and following); prices and quantities may have more.
MOST_DIGITS = 2


@dataclass(frozen=True)
class EParty:
    """The seller (BG-4) or the buyer (BG-7). `country`: ISO 3166-1, two capitals."""

    name: str
    country: str
    street: str = ""
    more_street: str = ""
    city: str = ""
    postcode: str = ""
    region: str = ""
    vat_id: str = ""  # BT-31, BT-48: begins with the country
    tax_number: str = ""  # BT-32
    legal_id: str = ""  # BT-30, BT-47
    contact: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True)
class TaxCategory:
    """A category with its rate in percent (BT-118, BT-119); `reason` why nothing is taxed (BT-120), for E and O."""

    code: Category
    percent: Decimal = ZERO
    reason: str = ""

    @property
    def shown_percent(self) -> Decimal | None:
        """The rate as it is written; an amount outside of the tax has none."""
        return None if self.code == "O" else self.percent


@dataclass(frozen=True)
class EAdjustment:
    """An allowance (less) or a charge (more), of a line or of the document: its amount, positive, and why."""

    amount: Decimal
    reason: str
    charge: bool = False
    category: TaxCategory | None = None  # of those of the document: BT-95, BT-102


@dataclass(frozen=True)
class ELine:
    """An invoice line (BG-25). `net`: BT-131, what `totals.line_net` gives or what the invoice says of it."""

    id: str
    name: str
    quantity: Decimal
    unit: str  # UN/ECE Recommendation 20
    price: Decimal  # BT-146, without tax, for `base_quantity`
    net: Decimal
    category: TaxCategory
    base_quantity: Decimal = Decimal(1)
    description: str = ""
    part_number: str = ""  # BT-155
    adjustments: tuple[EAdjustment, ...] = ()


@dataclass(frozen=True)
class EPayment:
    """How to pay (BG-16). `means`: UNTDID 4461, 30 a transfer, 1 not said."""

    means: str = "1"
    iban: str = ""
    bic: str = ""
    account_name: str = ""
    reference: str = ""  # BT-83


@dataclass(frozen=True)
class EInvoice:
    """The document. `paid`: BT-113; `corrects`: number and day of the invoice that a credit note corrects (BG-3).

    `digits`: those of its amounts, by ISO 4217 none for the yen; at most `MOST_DIGITS`. `stated_tax`: the tax that was
    billed (BT-110), where there is such an invoice already.
    """

    number: str
    kind: Literal["380", "381"]
    issued_on: date
    delivered_on: date  # BT-72
    currency: str
    seller: EParty
    buyer: EParty
    lines: tuple[ELine, ...]
    adjustments: tuple[EAdjustment, ...] = ()
    due_on: date | None = None
    terms: str = ""
    note: str = ""
    buyer_reference: str = ""
    payment: EPayment = EPayment()
    paid: Decimal = ZERO
    rounding: Decimal = ZERO  # BT-114
    corrects: tuple[str, date] | None = None
    digits: int = MOST_DIGITS
    stated_tax: Decimal | None = None
