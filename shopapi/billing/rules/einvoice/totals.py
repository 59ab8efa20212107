"""The totals of an EN 16931 invoice, exact: its rules BR-CO-10 to BR-CO-17 with nothing tolerated.

Rounding, as its examples do: half away from zero, to two decimal digits at most. What is rounded already is not rounded
again, and each part of a line's amount is rounded by itself (line amounts as in the BIS Billing 3.0 guide of Peppol).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shopapi.billing.rules.einvoice.document import ZERO, EAdjustment, EInvoice, TaxCategory

CENT = Decimal("0.01")


def to_cent(exact: Decimal) -> Decimal:
    """Rounded to the hundredth, a tie away from zero.

    >>> to_cent(Decimal("365.125")), to_cent(Decimal("-156435.885"))
    (Decimal('365.13'), Decimal('-156435.89'))
    """
    return exact.quantize(CENT, rounding=ROUND_HALF_UP)


def line_net(
    price: Decimal, quantity: Decimal, base_quantity: Decimal = Decimal(1), adjustments: Sequence[EAdjustment] = ()
) -> Decimal:
    """BT-131: price over base quantity by quantity, less allowances, plus charges, each rounded by itself.

    >>> line_net(Decimal(200), Decimal(10), Decimal(2))
    Decimal('1000.00')
    """
    return to_cent(price * quantity / base_quantity) + balance_of(adjustments)


def balance_of(adjustments: Iterable[EAdjustment]) -> Decimal:
    """Charges less allowances."""
    return sum((to_cent(one.amount) * (1 if one.charge else -1) for one in adjustments), ZERO)


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
    parts += [(_category_of(one), balance_of([one])) for one in document.adjustments]
    for category, amount in parts:
        key = (category.code, category.percent.normalize())
        categories.setdefault(key, category)
        bases[key] = bases.get(key, ZERO) + amount
    groups = tuple(
        TaxGroup(categories[key], base, to_cent(base * categories[key].percent / 100))  # CO-17
        for key, base in bases.items()
    )
    lines = sum((line.net for line in document.lines), ZERO)  # CO-10
    allowances = -balance_of(one for one in document.adjustments if not one.charge)  # CO-11
    charges = balance_of(one for one in document.adjustments if one.charge)  # CO-12
    net = lines - allowances + charges  # CO-13
    tax = sum((group.tax for group in groups), ZERO)  # CO-14
    gross = net + tax  # CO-15
    due = gross - document.paid + document.rounding  # CO-16
    return ETotals(lines, allowances, charges, net, tax, gross, document.paid, document.rounding, due, groups)


def _category_of(adjustment: EAdjustment) -> TaxCategory:
    if adjustment.category is None:
        raise ValueError(f"an allowance or charge of the document needs a tax category: {adjustment.reason}")
    return adjustment.category
