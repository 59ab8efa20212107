"""The total of the same work done later, when the machine has to be taken apart again.

Twin: `pwa/src/domain/quotes/later.ts`.
"""

from collections.abc import Collection, Sequence
from uuid import UUID

from shopapi.quotes.rules.lines import Discount, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.totals import compute_totals


def later_total(
    book: ShopPrices,
    lines: Sequence[QuoteLine],
    *,
    accepted: Collection[UUID] | None = None,
    discount: Discount | None = None,
    exempt: bool = False,
) -> int | None:
    """The total, with tax, of these lines done later; None where no line that counts has a later price.

    A line with `later_minor` costs that amount; the others cost the same as now. Everything else is calculated as for
    now, including the discount of the quote.

    1 h at 95.00 now and 150.00 later, a part at 20.00, 6 % on both: 170.00 + 10.20 = 180.20.
    """
    if not any(line.later_minor is not None for line in lines if accepted is None or line.id in accepted):
        return None
    then = [_later(line) for line in lines]
    return compute_totals(book, then, accepted=accepted, discount=discount, exempt=exempt).total_minor


def _later(line: QuoteLine) -> QuoteLine:
    if line.later_minor is None:
        return line
    whole = {"fixed_minor": line.later_minor, "core_minor": None, "discount_percent": None, "discount_minor": None}
    return line.model_copy(update=whole)
