"""How far a job may be billed: what its customer agreed to, and the tolerance.

Twin: `pwa/src/domain/billing/authorized.ts`.

Amounts are before tax. Authorized are the accepted lines of every decided quote and, where none is decided, the
diagnosis fee that was told at intake. The larger of the price book's percentage and the shop's fixed amount may be
billed beyond it. Storage is not counted: it was told at intake and is due for what came after.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from shopapi.billing.rules.invoices import BilledLine, LineSource
from shopapi.quotes.rules.totals import QuoteTotals


@dataclass(frozen=True)
class Authorized:
    """In minor units, before tax."""

    agreed_minor: int
    allowed_minor: int


def beyond(authorized: Authorized, billed: Sequence[int], wanted: int) -> int:
    """How far a new document goes beyond what was agreed and allowed; `billed`: what was billed, credits negative."""
    return max(0, sum(billed) + wanted - authorized.agreed_minor - authorized.allowed_minor)


def counted(totals: QuoteTotals, lines: Sequence[BilledLine]) -> int:
    """What of a document counts against the authorised amount: its subtotal without storage."""
    storage = {line.id for line in lines if line.source == LineSource.STORAGE}
    return totals.subtotal_minor - sum(line.amount_minor for line in totals.lines if line.id in storage)
