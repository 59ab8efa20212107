"""What is billed, paid and open on a job or on an invoice without one.

Twin: `pwa/src/domain/billing/balances.ts`; both run the vectors of `fixtures/billing/balances.json`.

The entries and the issued invoices and credit notes of a job are settled together. An entry that names an invoice
pays that; what exceeds it, and entries that name none (deposits), pay the other invoices of the job, the earliest
first. What is then left is `unused`: a deposit in hand while nothing is billed, else what was paid too much. Where more
went back than was left, the latest invoices are open again. So it always holds that

    billed - paid = (sum of what is open) - unused

Tips pay no bill. Nothing is refused here: two phones that both take the rest of a bill lead to an amount paid too much.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True)
class Due:
    """An issued invoice, less its credit notes, in minor units. Given in the order of issue."""

    invoice_id: UUID
    minor: int


@dataclass(frozen=True)
class Entry:
    """What an entry counts for the bill (below zero: given back), and the invoice that it names."""

    invoice_id: UUID | None
    minor: int


@dataclass(frozen=True)
class Balance:
    """What is billed and paid, in minor units. `paid_on`: what is paid of each invoice, in their order.

    `unused` is below zero only where more went back than ever came in.
    """

    billed_minor: int
    paid_minor: int
    paid_on: tuple[int, ...]
    unused_minor: int

    @property
    def open_minor(self) -> int:
        """What the customer has to pay now."""
        return self.billed_minor - sum(self.paid_on)


def balance_of(dues: Sequence[Due], entries: Iterable[Entry]) -> Balance:
    """Settle the invoices of a job with its payments."""
    at = {due.invoice_id: index for index, due in enumerate(dues)}
    paid_on = [0] * len(dues)
    unused = paid = 0
    for entry in entries:
        paid += entry.minor
        index = None if entry.invoice_id is None else at.get(entry.invoice_id)
        if index is None:
            unused += entry.minor
        else:
            paid_on[index] += entry.minor
    for index, due in enumerate(dues):
        beyond = max(0, paid_on[index] - due.minor)
        paid_on[index] -= beyond
        unused += beyond
    for index, due in enumerate(dues):
        share = max(0, min(unused, due.minor - paid_on[index]))
        paid_on[index] += share
        unused -= share
    for index in reversed(range(len(dues))):
        back = max(0, min(-unused, paid_on[index]))
        paid_on[index] -= back
        unused += back
    return Balance(sum(due.minor for due in dues), paid, tuple(paid_on), unused)


def too_much(balance: Balance, *, agreed_minor: int, is_deposit: bool) -> int:
    """By how much is paid too much, in minor units; 0: not.

    A payment is held against what is billed, or, before a bill, against what was agreed; a deposit against the larger
    of both, since more may still be billed. Where nothing was billed or agreed, no amount is too much.
    """
    has_bill = bool(balance.paid_on)
    expected = max(balance.billed_minor, agreed_minor) if is_deposit or not has_bill else balance.billed_minor
    return max(0, balance.paid_minor - expected) if has_bill or expected else 0
