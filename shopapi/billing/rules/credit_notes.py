"""What a credit note takes over from its invoice.

All of it: the same lines, prices, discount and tax, so the amounts are the same to the last unit. Some of its lines:
these with their prices and the tax profile of the invoice; a percentage off the document stays, a fixed amount is
taken off in the share that these lines had of it, and what was added for the whole (labor minimum, supplies, the
credited diagnosis fee) stays with the invoice. Of a line that is priced by the hour or the piece, some of them may be
credited: a fixed amount off that line is then taken in the same share, rounded as the price book rounds.

Twin: `pwa/src/domain/billing/creditNotes.ts`; `tests/billing/test_twin.py` draws invoices and runs both.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from shopapi.billing.rules.invoices import BilledLine
from shopapi.core.errors import FieldError
from shopapi.core.money import plain_decimal, round_half
from shopapi.quotes.rules.lines import Discount
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.totals import add_charges, in_order, wanted_discounts


@dataclass(frozen=True)
class Mirror:
    basis: ShopPrices
    lines: Sequence[BilledLine]
    discount: Discount


def whole_of(line: BilledLine) -> Decimal | None:
    """The hours or pieces of a line of which some may be credited; None where its price is one for all of it."""
    if line.fixed_minor is not None or line.kind not in ("labor", "part", "fee", "supplies"):
        return None
    whole = line.hours if line.kind == "labor" else Decimal(1) if line.quantity is None else line.quantity
    return whole or None


def credit_faults(lines: Sequence[BilledLine], taken: Mapping[UUID, Decimal | None]) -> list[FieldError]:
    """What is wrong with how much of each line is credited, by the index of the line in `taken`."""
    by_id, faults = {line.id: line for line in lines}, []
    for at, (line_id, count) in enumerate(taken.items()):
        if line_id not in by_id:
            faults.append(FieldError(f"lines.{at}.line_id", "line_of_another_invoice"))
        elif count is not None:
            whole = whole_of(by_id[line_id])
            if whole is None:
                faults.append(FieldError(f"lines.{at}.quantity", "credited_only_whole"))
            elif not 0 < count / whole <= 1:
                context = {"most": plain_decimal(whole)}
                faults.append(FieldError(f"lines.{at}.quantity", "credited_too_many", context=context))
    return faults


def mirrored(
    basis: ShopPrices,
    lines: Sequence[BilledLine],
    discount: Discount,
    taken: Mapping[UUID, Decimal | None],
) -> Mirror:
    """Basis, lines and discount of a credit note for these lines of an invoice, of each so many; None: all of it.

    Call `credit_faults` first.
    """
    kept = [_part_of(basis, line, taken[line.id]) for line in lines if line.id in taken]
    if kept == list(lines):
        return Mirror(basis, lines, discount)
    nothing = basis.supplies.model_copy(update={"percent": 0 * basis.supplies.percent, "floor_minor": 0})
    plain = basis.model_copy(update={"labor_minimum_minor": 0, "supplies": nothing, "credit_diagnosis": False})
    # A part that is credited takes back its share of the discount, whatever a part that is accepted is granted.
    plain = plain.model_copy(update={"fixed_discount": "shared"})
    if discount.minor is not None:
        whole, offered = (add_charges(plain, in_order(some), None).whole for some in (kept, lines))
        discount = Discount(minor=wanted_discounts(plain, [], discount, whole, offered=offered).off_quote)
    return Mirror(plain, kept, discount)


def credits_whole(basis: ShopPrices) -> bool:
    """Whether a credit note takes back what was added for the whole invoice, so that no line may leave it by itself."""
    added = basis.labor_minimum_minor or basis.supplies.percent or basis.supplies.floor_minor
    return bool(added) or basis.credit_diagnosis


def _part_of(basis: ShopPrices, line: BilledLine, count: Decimal | None) -> BilledLine:
    """So many of a line; None: all of it."""
    whole = whole_of(line)
    if count is None or whole is None or count == whole:
        return line
    off = line.discount_minor
    if off is not None:
        off = round_half(Fraction(off) * Fraction(count) / Fraction(whole), basis.rounding)
    name = "hours" if line.kind == "labor" else "quantity"
    return line.model_copy(update={name: count, "discount_minor": off, "later_minor": None})
