"""What the customer agreed to on a job, and how far the work is beyond it.

Twin: `pwa/src/domain/quotes/agreed.ts`; both run the vectors of `fixtures/pricing/agreed.json`.

Agreed is the total of the accepted lines of every decided quote; a quote that a revision replaces stays decided until
the revision is decided. Work is beyond it
- where a line priced by the hour has more clocked time than its hours (a line with a set price takes any time),
- where repair was clocked that belongs to no accepted line, at the rate of the member who did it.
Time on a line of a replaced quote counts for the line of the quote that replaced it.
Diagnosis is covered by its fee unless it was clocked for a line, and rework is never billed, so neither counts.
Hours left on one line do not pay for another, since each line was accepted by itself.
Up to the price book's `tolerance_percent` of the accepted lines, before tax, no new approval is needed.
Parts fitted beyond what was agreed are passed in as one amount.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal
from uuid import UUID

from shopapi.core.money import percent_of, round_half
from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.lines import Discount, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.prices import labor_rate, price_line
from shopapi.quotes.rules.progress import QuotedLabor, Successors, finder
from shopapi.quotes.rules.totals import compute_totals

HOUR = 3600
_NO_LINE = UUID(int=0)


@dataclass(frozen=True)
class AgreedQuote:
    """A decided quote as offered, and which of its lines were accepted."""

    book: ShopPrices
    lines: Sequence[QuoteLine]
    accepted: Collection[UUID]
    discount: Discount | None
    exempt: bool


@dataclass(frozen=True)
class WorkedTime:
    """Time clocked on the job."""

    kind: Literal["repair", "diagnosis"]
    member_id: UUID
    line_id: UUID | None
    operation: str
    seconds: int


@dataclass(frozen=True)
class Agreed:
    """In minor units: what was agreed (with tax); before tax, how far work is beyond it and how far it may be."""

    total_minor: int
    over_minor: int
    allowed_minor: int

    @property
    def beyond_minor(self) -> int:
        """How far the work is beyond what was agreed and allowed; above 0 the customer has to be asked."""
        return max(0, self.over_minor - self.allowed_minor)


def agreed_on(
    quotes: Sequence[AgreedQuote],
    worked: Sequence[WorkedTime],
    *,
    book: ShopPrices,
    successors: Successors,
    parts_over_minor: int = 0,
) -> Agreed:
    """Compare the work on a job with what its customer agreed to. `book` prices work that no line covers.

    `successors`: the lines that replaced those of replaced quotes. Every line must have a price, as those of decided
    quotes have.
    """
    total = allowed = 0
    hourly: dict[UUID, tuple[ShopPrices, QuoteLine]] = {}
    labor = []
    for quote in quotes:
        totals = compute_totals(
            quote.book, quote.lines, accepted=quote.accepted, discount=quote.discount, exempt=quote.exempt
        )
        total += totals.total_minor
        tolerance = percent_of(totals.subtotal_minor, quote.book.tolerance_percent)
        allowed += max(0, round_half(tolerance, quote.book.rounding))
        for line in quote.lines:
            if line.kind == "labor" and line.id in quote.accepted:
                labor.append(QuotedLabor(line.id, line.words, line.operation or "", None, accepted=True))
                hourly[line.id] = (quote.book, line)
    line_of = finder(labor, successors)
    on_lines: dict[UUID, int] = {}
    on_none: dict[UUID, int] = {}
    for work in worked:
        line_id = line_of(work.line_id, work.operation)
        if line_id is not None:
            on_lines[line_id] = on_lines.get(line_id, 0) + work.seconds
        elif work.kind == "repair":
            on_none[work.member_id] = on_none.get(work.member_id, 0) + work.seconds
    over = parts_over_minor
    over += sum(_past_hours(*hourly[line_id], seconds) for line_id, seconds in on_lines.items())
    over += sum(_at_rate(book, member_id, seconds) for member_id, seconds in on_none.items())
    return Agreed(total, over, allowed)


def _past_hours(book: ShopPrices, line: QuoteLine, seconds: int) -> int:
    price = price_line(book, line)
    if price is None or price.unit is None:
        return 0
    return max(0, _worth(book, price.unit, seconds) - price.gross)


def _at_rate(book: ShopPrices, member_id: UUID, seconds: int) -> int:
    asked = QuoteLine(id=_NO_LINE, position=0, kind="labor", rank=FindingRank.NEEDED, words="work", member_id=member_id)
    rate = labor_rate(book, asked)
    return 0 if rate is None else _worth(book, rate.minor_per_hour, seconds)


def _worth(book: ShopPrices, minor_per_hour: int, seconds: int) -> int:
    return round_half(Fraction(seconds * minor_per_hour, HOUR), book.rounding)
