"""The double-entry journal: what each document and payment means in accounts. Every entry sums to zero.

Conventions:
- An invoice is entered on its date: the customer owes it (receivable), what was sold is credited by kind of line, its
  tax to the tax account. Where prices include tax, the tax is taken out of what was taxed, in proportion.
- A credit note is the same with opposite signs.
- A payment is entered on its day: the account of its method against what the customer owes. A deposit is owed to the
  customer (deposits) until the job is billed; with the invoice it pays, in its entry, up to the invoice's total.
- Money back comes out of deposits that are not used yet, then out of what the customer owes. What the shop keeps as
  credit of a customer is owed to them too (deposits). A tip is owed to the crew (tips).
- The names of accounts are those in force when the journal is read; an empty one is the word used here.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from shopapi.billing.rules.settings import Accounts
from shopapi.core.money import plain_amount, share_out
from shopapi.core.schema import Schema
from shopapi.quotes.rules.totals import QuoteTotals

ACCOUNT_OF_KIND: Mapping[str, str] = {
    "labor": "labor",
    "part": "parts",
    "travel": "travel",
    "fee": "fees",
    "supplies": "supplies",
    "discount": "discounts",
}
ACCOUNT_OF_ADDED: Mapping[str, str] = {
    "labor_minimum": "labor",
    "supplies": "supplies",
    "diagnosis_credit": "fees",
    "discount": "discounts",
}
ACCOUNT_OF_METHOD: Mapping[str, str] = {
    "cash": "cash",
    "check": "checks",
    "card": "cards",
    "transfer": "bank",
    "credit": "deposits",
    "other": "other",
}


@dataclass(frozen=True)
class Billed:
    """An issued invoice or credit note. `kinds`: the kind of each line by its id; `sign`: -1 for a credit note."""

    number: str
    on: date
    job_id: UUID | None
    customer: str
    sign: int
    totals: QuoteTotals
    kinds: Mapping[UUID, str]


@dataclass(frozen=True)
class Paid:
    """A payment: what counts toward the bill and the tip in it, each below zero where money went back."""

    on: date
    job_id: UUID | None
    customer: str
    method: str
    is_deposit: bool
    toward_bill: int
    tip: int
    reference: str = ""


class Posting(Schema):
    """One amount on one account: a debit above zero, a credit below it."""

    account: str
    amount_minor: int


class JournalEntry(Schema):
    """One document or payment. Its postings sum to zero."""

    on: date
    document: str
    words: str
    postings: list[Posting]


@dataclass
class _Job:
    """What a job's deposits come to that no invoice has used yet."""

    held: int = 0
    billed: bool = False


@dataclass
class _Amounts:
    """Amounts by account, in the order in which they came."""

    by_account: dict[str, int] = field(default_factory=dict)

    def add(self, account: str, minor: int) -> None:
        self.by_account[account] = self.by_account.get(account, 0) + minor


def journal(billed: Iterable[Billed], paid: Iterable[Paid], accounts: Accounts) -> list[JournalEntry]:
    """The entries in the order of their days; of one day invoices first, as deposits are used by them.

    Give all documents of the jobs, from the beginning: what an invoice uses of a deposit follows from what came before.
    """
    jobs: dict[UUID, _Job] = {}
    events: list[tuple[date, int, Billed | Paid]] = [(one.on, 0, one) for one in billed]
    events += [(one.on, 1, one) for one in paid]
    entries = []
    for on, _, event in sorted(events, key=lambda event: event[:2]):
        if isinstance(event, Billed):
            amounts = _of_document(event, jobs)
            document, words = event.number, event.customer
        else:
            # What is on no job pays an invoice that is there already.
            job = _Job(billed=True) if event.job_id is None else jobs.setdefault(event.job_id, _Job())
            amounts = _of_payment(event, job)
            document, words = event.reference, event.customer
        entries.append(JournalEntry(on=on, document=document, words=words, postings=_postings(amounts, accounts)))
    return entries


def _postings(amounts: _Amounts, accounts: Accounts) -> list[Posting]:
    named = accounts.model_dump()
    return [
        Posting(account=named[account] or account, amount_minor=minor)
        for account, minor in amounts.by_account.items()
        if minor
    ]


def _of_document(one: Billed, jobs: dict[UUID, _Job]) -> _Amounts:
    amounts = _Amounts()
    amounts.add("receivable", one.sign * one.totals.total_minor)
    for account, minor in _sold(one).items():
        amounts.add(account, -one.sign * minor)
    amounts.add("tax", -one.sign * one.totals.tax_minor)
    if one.job_id is not None and one.sign > 0:
        job = jobs.setdefault(one.job_id, _Job())
        job.billed = True
        used = min(job.held, one.totals.total_minor)
        job.held -= used
        amounts.add("deposits", used)
        amounts.add("receivable", -used)
    return amounts


def _sold(one: Billed) -> dict[str, int]:
    """What was sold, by account, without tax; discounts are below zero. Sums to the net of the document."""
    sold, taxed = _Amounts(), _Amounts()
    for line in one.totals.lines:
        if line.accepted:
            account = ACCOUNT_OF_KIND[one.kinds[line.id]]
            sold.add(account, line.amount_minor)
            taxed.add(account, line.amount_minor if line.taxable else 0)
    for added in one.totals.added:
        # The exemption is what is taken out below.
        if added.key != "exemption":
            account = ACCOUNT_OF_ADDED[added.key]
            sold.add(account, added.amount_minor)
            taxed.add(account, added.amount_minor if added.taxable else 0)
    out = sum(sold.by_account.values()) - one.totals.net_minor
    if out:
        weights = {account: max(0, minor) for account, minor in taxed.by_account.items()}
        if not sum(weights.values()):
            weights = {account: max(0, minor) for account, minor in sold.by_account.items()}
        for account, share in zip(weights, share_out(out, list(weights.values())), strict=True):
            sold.add(account, -share)
    return sold.by_account


def _of_payment(one: Paid, job: _Job) -> _Amounts:
    amounts = _Amounts()
    amounts.add(ACCOUNT_OF_METHOD[one.method], one.toward_bill + one.tip)
    amounts.add("tips", -one.tip)
    minor = one.toward_bill
    if minor >= 0:
        kept = minor if one.is_deposit and not job.billed else 0
        job.held += kept
        amounts.add("deposits", -kept)
        amounts.add("receivable", kept - minor)
        return amounts
    from_deposits = min(job.held, -minor)
    job.held -= from_deposits
    amounts.add("deposits", from_deposits)
    amounts.add("receivable", -minor - from_deposits)
    return amounts


def journal_text(entries: Sequence[JournalEntry], *, title: str, currency: str, digits: int) -> str:
    """The journal as plain text, debits and credits in columns, with the check that they are even."""
    lines = [title, f"Amounts in {currency}", ""]
    debit = credit = 0
    width = max((len(posting.account) for entry in entries for posting in entry.postings), default=0)
    for entry in entries:
        lines.append("  ".join(filter(None, (entry.on.isoformat(), _plain(entry.document), _plain(entry.words)))))
        for posting in entry.postings:
            side = "debit" if posting.amount_minor > 0 else "credit"
            amount = plain_amount(abs(posting.amount_minor), digits)
            lines.append(f"    {side:6}  {_plain(posting.account):{width}}  {amount:>14}")
            debit += max(0, posting.amount_minor)
            credit -= min(0, posting.amount_minor)
        lines.append("")
    sums = (("Debits", debit), ("Credits", credit), ("Difference", debit - credit))
    lines += [f"{name:10}  {plain_amount(minor, digits):>14}" for name, minor in sums]
    return "\n".join(lines) + "\n"


def _plain(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())
