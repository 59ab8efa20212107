"""What was quoted against what was billed, job by job, and the hours billed against the hours clocked.

Conventions:
- A job is in the period in which its last invoice was issued, with all that was agreed, billed and clocked on it.
- Quoted is what the customer accepted, billed what was issued, credit notes below zero; both without tax.
- Hours billed are those of the lines of labor on invoices; a line with a set price has none. Those of credit notes
  count below zero.
- Efficiency is hours billed in percent of the hours clocked on these jobs, recovery in percent of all hours clocked in
  the period (`labor.rules.week`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from shopapi.core.money import round_half
from shopapi.core.schema import DecimalText, Schema
from shopapi.labor.rules.week import efficiency, recovery


class QuotedPart(Schema):
    """A decided quote of a job: what was accepted of it, without tax, and the hours of its accepted labor."""

    quote_id: UUID
    number: str
    quoted_minor: int
    quoted_seconds: int


class BilledPart(Schema):
    """An invoice or credit note of a job, a credit note below zero."""

    invoice_id: UUID
    number: str
    billed_minor: int
    billed_seconds: int


class QuotedBilledRow(Schema):
    """One job with the quotes, invoices and hours behind it; `difference_minor`: billed less quoted."""

    job_id: UUID
    job: str
    kind: str
    quoted_minor: int
    billed_minor: int
    difference_minor: int
    quoted_seconds: int
    billed_seconds: int
    clocked_seconds: int
    efficiency_percent: DecimalText | None
    quotes: list[QuotedPart]
    invoices: list[BilledPart]


class QuotedBilledSum(Schema):
    """The same for all jobs. `paid_seconds` and recovery: None where the hours of others may not be seen."""

    jobs: int
    quoted_minor: int
    billed_minor: int
    difference_minor: int
    quoted_seconds: int
    billed_seconds: int
    clocked_seconds: int
    efficiency_percent: DecimalText | None
    paid_seconds: int | None
    recovery_percent: DecimalText | None


class QuotedBilledReport(Schema):
    zone: str
    first: date
    last: date
    minor_digits: int
    whole: QuotedBilledSum
    jobs: list[QuotedBilledRow]


@dataclass(frozen=True)
class BilledJob:
    """A billed job with what is behind it; `clocked_seconds`: of work on the machine."""

    job_id: UUID
    job: str
    kind: str
    quotes: Sequence[QuotedPart]
    invoices: Sequence[BilledPart]
    clocked_seconds: int


def quoted_billed_row(job: BilledJob) -> QuotedBilledRow:
    quoted = sum(quote.quoted_minor for quote in job.quotes)
    billed = sum(invoice.billed_minor for invoice in job.invoices)
    hours = sum(invoice.billed_seconds for invoice in job.invoices)
    return QuotedBilledRow(
        job_id=job.job_id,
        job=job.job,
        kind=job.kind,
        quoted_minor=quoted,
        billed_minor=billed,
        difference_minor=billed - quoted,
        quoted_seconds=sum(quote.quoted_seconds for quote in job.quotes),
        billed_seconds=hours,
        clocked_seconds=job.clocked_seconds,
        efficiency_percent=_percent(efficiency(hours, job.clocked_seconds)),
        quotes=list(job.quotes),
        invoices=list(job.invoices),
    )


def sum_of_jobs(rows: Sequence[QuotedBilledRow], paid_seconds: int | None) -> QuotedBilledSum:
    """All jobs together. `paid_seconds`: all hours clocked in the period; None where they may not be seen."""
    billed = sum(row.billed_seconds for row in rows)
    clocked = sum(row.clocked_seconds for row in rows)
    return QuotedBilledSum(
        jobs=len(rows),
        quoted_minor=sum(row.quoted_minor for row in rows),
        billed_minor=sum(row.billed_minor for row in rows),
        difference_minor=sum(row.difference_minor for row in rows),
        quoted_seconds=sum(row.quoted_seconds for row in rows),
        billed_seconds=billed,
        clocked_seconds=clocked,
        efficiency_percent=_percent(efficiency(billed, clocked)),
        paid_seconds=paid_seconds,
        recovery_percent=None if paid_seconds is None else _percent(recovery(billed, paid_seconds)),
    )


def _percent(ratio: Fraction | None) -> Decimal | None:
    return None if ratio is None else Decimal(round_half(ratio * 10, "half_away")).scaleb(-1)
