"""The totals of an EN 16931 invoice: its rules BR-CO-10 to BR-CO-16 exactly, BR-CO-17 to the smallest unit.

Rounding, as its examples do: half away from zero, to the digits of the currency and two at most. What is rounded
already is not rounded again, and each part of a line's amount is rounded by itself (line amounts as in the BIS Billing
3.0 guide of Peppol).

BR-CO-17 rounds the tax of each category. Which way a tie went, and a tax that was taken out of prices that include it,
is the invoice's: where it states its tax, a category's tax is what comes of its base rounded up or down to the smallest
unit, so that all of them are the tax stated. The published rules tolerate anything under one whole unit.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shopapi.billing.rules.einvoice.document import MOST_DIGITS, ZERO, EAdjustment, EInvoice, TaxCategory


def round_amount(exact: Decimal, digits: int = MOST_DIGITS) -> Decimal:
    """Rounded to so many decimal digits, a tie away from zero.

    >>> round_amount(Decimal("365.125")), round_amount(Decimal("-156435.885")), round_amount(Decimal("1234.5"), 0)
    (Decimal('365.13'), Decimal('-156435.89'), Decimal('1235'))
    """
    return exact.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)


def line_net(
    price: Decimal,
    quantity: Decimal,
    base_quantity: Decimal = Decimal(1),
    adjustments: Sequence[EAdjustment] = (),
    *,
    digits: int = MOST_DIGITS,
) -> Decimal:
    """BT-131: price over base quantity by quantity, less allowances, plus charges, each rounded by itself.

    >>> line_net(Decimal(200), Decimal(10), Decimal(2))
    Decimal('1000.00')
    """
    return round_amount(price * quantity / base_quantity, digits) + balance_of(adjustments, digits=digits)


def balance_of(adjustments: Iterable[EAdjustment], *, digits: int = MOST_DIGITS) -> Decimal:
    """Charges less allowances."""
    return sum((round_amount(one.amount, digits) * (1 if one.charge else -1) for one in adjustments), ZERO)


@dataclass(frozen=True)
class TaxGroup:
    """One row of the tax breakdown (BG-23): the category, BT-116 and BT-117."""

    category: TaxCategory
    base: Decimal
    tax: Decimal


@dataclass(frozen=True)
class ETotals:
    """The totals of the document (BG-22)."""

    lines: Decimal  # BT-106
    allowances: Decimal  # BT-107
    charges: Decimal  # BT-108
    net: Decimal  # BT-109
    tax: Decimal  # BT-110
    gross: Decimal  # BT-112
    paid: Decimal  # BT-113
    rounding: Decimal  # BT-114
    due: Decimal  # BT-115
    groups: tuple[TaxGroup, ...]


def totals_of(document: EInvoice) -> ETotals:
    """The totals of a document. The breakdown has one row for each category and rate, in order of appearance."""
    bases: dict[tuple[str, Decimal], Decimal] = {}
    categories: dict[tuple[str, Decimal], TaxCategory] = {}
    parts = [(line.category, line.net) for line in document.lines]
    digits = document.digits
    parts += [(_category_of(one), balance_of([one], digits=digits)) for one in document.adjustments]
    for category, amount in parts:
        key = (category.code, category.percent.normalize())
        categories.setdefault(key, category)
        bases[key] = bases.get(key, ZERO) + amount
    taxes = _taxes([base * categories[key].percent / 100 for key, base in bases.items()], document)  # CO-17
    groups = tuple(TaxGroup(categories[key], base, tax) for (key, base), tax in zip(bases.items(), taxes, strict=True))
    lines = sum((line.net for line in document.lines), ZERO)  # CO-10
    allowances = -balance_of((one for one in document.adjustments if not one.charge), digits=digits)  # CO-11
    charges = balance_of((one for one in document.adjustments if one.charge), digits=digits)  # CO-12
    net = lines - allowances + charges  # CO-13
    tax = sum((group.tax for group in groups), ZERO)  # CO-14
    gross = net + tax  # CO-15
    due = gross - document.paid + document.rounding  # CO-16
    return ETotals(lines, allowances, charges, net, tax, gross, document.paid, document.rounding, due, groups)


def _taxes(exact: Sequence[Decimal], document: EInvoice) -> list[Decimal]:
    """BT-117 of each category from its exact tax.

    Rounded to the nearest; where that is not the tax stated, those farthest from their rounding are rounded the other
    way, one smallest unit each. Where even that is not enough, the nearest stay.
    """
    nearest = [round_amount(each, document.digits) for each in exact]
    if document.stated_tax is None:
        return nearest
    unit = Decimal(1).scaleb(-document.digits)
    missing = document.stated_tax - sum(nearest, ZERO)
    step = unit if missing > 0 else -unit
    others = [
        at for at, tax in enumerate(nearest) if (exact[at] - tax) * step > 0 and _tolerated(tax + step, exact[at])
    ]
    others.sort(key=lambda at: -abs(exact[at] - nearest[at]))
    wanted = int(missing / step)
    if wanted > len(others):
        return nearest
    turned = others[:wanted]
    return [tax + step if at in turned else tax for at, tax in enumerate(nearest)]


def _tolerated(tax: Decimal, exact: Decimal) -> bool:
    """Whether the published rules accept a tax: less than one whole unit from what is due, rounded to two decimals."""
    return abs(tax - round_amount(exact)) < 1


def _category_of(adjustment: EAdjustment) -> TaxCategory:
    if adjustment.category is None:
        raise ValueError(f"an allowance or charge of the document needs a tax category: {adjustment.reason}")
    return adjustment.category
