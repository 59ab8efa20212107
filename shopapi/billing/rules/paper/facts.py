"""The plain data of the papers of billing, in addition to the issued document (`rules.document`) and its totals.

Amounts are minor units; those of a credit note are positive.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shopapi.quotes.rules.left_safety import LeftUnrepaired
from shopapi.quotes.rules.pdf import ComplaintFacts, MachineFacts, SiteFacts


@dataclass(frozen=True, slots=True)
class PaperShop:
    """Where figures and days on the paper belong."""

    locale: str
    zone: str
    currency: str


@dataclass(frozen=True, slots=True)
class PaidFacts:
    """An entry of money by the time of the paper; `toward_minor` is below zero where money went back."""

    kind: str
    method: str
    on: date
    toward_minor: int
    is_reversal: bool = False


@dataclass(frozen=True, slots=True)
class WarrantyFacts:
    """The warranty of one line of an invoice, by the words of the line."""

    words: str
    days: int | None
    hours: Decimal | None


@dataclass(frozen=True, slots=True)
class DeclinedFacts:
    """Work that the customer declined; `amount_minor` None: never priced."""

    words: str
    is_safety: bool
    amount_minor: int | None = None


@dataclass(frozen=True, slots=True)
class InvoiceFacts:
    """What an invoice prints besides its document, as of the moment it was issued.

    `number`: of the server, or the phone's mark with `is_mark`. `paid`: the entries of the job by then, where they pay
    this invoice; `open_minor`: what is open of it. `left`: safety findings that the customer wants left.
    `part_numbers`: by the ids of lines. `pay_qr`: a code for a transfer as SVG, made by the caller; empty: none.
    """

    state: str
    is_mark: bool
    digest: str
    machine: MachineFacts | None
    site: SiteFacts | None
    complaints: Sequence[ComplaintFacts]
    approved: str
    paid: Sequence[PaidFacts]
    paid_minor: int
    open_minor: int
    left: Sequence[LeftUnrepaired]
    declined: Sequence[DeclinedFacts]
    warranty: Sequence[WarrantyFacts]
    part_numbers: Mapping[str, str]
    payment_url: str = ""
    pay_qr: str = ""
