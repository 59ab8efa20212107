"""The totals of a quote, computed from the price book and the lines.

Twin: `pwa/src/domain/quotes/totals.ts`; they agree on every vector of `fixtures/pricing` and on the
generated quotes of `tests/quotes/test_twin.py`.

What is added up, in this order (only accepted lines count):
1. each line: its price, less its own discount, plus its core charge;
2. the labor minimum: what charged labor, before discounts, falls short of it;
3. supplies: a share of labor and/or parts, unless the quote has a supplies line of its own;
4. the diagnosis fee, credited up to its amount against repair labor: what is credited is not charged, so it is
   taken off the fee and the repair is taxed in full (rules version 3; versions 1 and 2 took it off the repair
   labor, so that an untaxed fee lowered the tax of taxed labor);
5. discount lines, then the quote's discount: each a percentage of the sum of 1 to 4, or a fixed amount;
   together never more than that sum. A fixed amount is for everything on offer: where only a part is accepted,
   the same share of it is taken off as that part's sum of 1 to 4 is of the whole offer's (rules version 2;
   version 1 takes all of it off, and so do later ones where the book's `fixed_discount` is "full");
6. tax by profile on what is left of each taxed line and addition.

Rounding points; nothing else is rounded:
R1 labor         hours x rate
R2 unit price    unit cost + mark-up of its band
R3 quantity      quantity x unit price
R4 core          quantity x core charge, apart from R3
R5 travel        distance past the free units x price of one
R6 line discount percentage of the line without its core charge
R7 supplies      percentage of the labor and part lines less their discounts, without core charges
R8 discount      each discount line's and the quote's percentage of the sum of 1 to 4, or the accepted share
                 of its fixed amount
R9 deposit       percentage of part lines or total, to the step that the book names; a fixed one is not rounded
   R1 to R9 by the book's rounding.
T1 tax           all rates together or each by itself, for each line or once for the whole (once for each class
                 of lines with the same rates, where rates are limited to kinds), by the profile's rounding
S1 shares        a credit, discount or tax cut into whole shares by largest remainder, ties to the
                 earlier line (position, then id); nothing is lost
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal
from uuid import UUID

from typing_extensions import TypeAliasType

from shopapi.core.money import percent_of, round_half, round_to_step, share_out
from shopapi.core.schema import Schema
from shopapi.quotes.rules.lines import LINE_KINDS, RANKS, Discount, LineKind, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.prices import LinePrice, price_line
from shopapi.quotes.rules.taxes import Tax, TaxRow, is_taxed, tax_on

AddedKey = TypeAliasType("AddedKey", Literal["labor_minimum", "supplies", "diagnosis_credit", "discount", "exemption"])


class LineTotals(Schema):
    """One line in minor units: amount = gross - discount + core. The amount of a discount line is negative.

    `unit_minor` is the price of one hour, piece or unit of distance where it makes the amount by itself.
    `taxable` is what the profile, or the line's override, says; an exempt customer pays none of it.
    `tax_minor` only where tax is rounded for each line and this one counts: after all discounts.
    """

    id: UUID
    accepted: bool
    unit_minor: int | None
    gross_minor: int
    discount_minor: int
    core_minor: int
    amount_minor: int
    taxable: bool
    tax_minor: int | None


class Added(Schema):
    """An amount that is not a line; credits, discounts and the exemption are negative.

    Only the labor minimum and the supplies have a tax of their own; the others reduce the tax of what they are deducted
    from.
    """

    key: AddedKey
    amount_minor: int
    taxable: bool = False
    tax_minor: int | None = None


class RankTotals(Schema):
    """The sum of the accepted lines' amounts per rank, without discount lines."""

    safety: int
    needed: int
    advised: int


class QuoteTotals(Schema):
    """The totals of a quote. The accepted lines and the added amounts sum up to `subtotal_minor`.

    Prices without tax: subtotal = net, net + tax = total. Prices with tax: subtotal = total,
    total - tax = net.
    """

    lines: tuple[LineTotals, ...]
    added: tuple[Added, ...]
    by_rank: RankTotals
    subtotal_minor: int
    net_minor: int
    tax: tuple[TaxRow, ...]
    tax_minor: int
    total_minor: int
    deposit_minor: int
    owed_after_deposit_minor: int


def compute_totals(
    book: ShopPrices,
    lines: Sequence[QuoteLine],
    *,
    accepted: Collection[UUID] | None = None,
    discount: Discount | None = None,
    exempt: bool = False,
) -> QuoteTotals:
    """Compute the totals of a quote on its basis, a price book with exactly one tax profile.

    Call `check_lines` first, which refuses lines without a price. `accepted`: the ids of the lines that count; None:
    all. Lines are returned in the order of position and id; declined ones have a price but are in no sum. `exempt`: the
    customer pays no tax, and tax included in prices is deducted.

    Two blades at 31.40 and 1.5 h at 85.00 with 6 % tax on parts alone: 62.80 + 127.50 = 190.30, tax
    3.77 (3.768), total 194.07.
    """
    (profile,) = book.tax_profiles
    lines = in_order(lines)
    charges = add_charges(book, lines, accepted)
    offered = charges.whole if accepted is None else add_charges(book, lines, None).whole
    wanted = wanted_discounts(book, lines, discount, charges.whole, offered=offered)
    discounts = _hold_discounts(wanted, charges.whole, accepted)

    with_parts = any(line.kind == "part" for line in charges.lines)
    by_kind = {kind: is_taxed(profile, kind, with_parts=with_parts) for kind in LINE_KINDS}
    taxable = {line.id: by_kind[line.kind] if line.taxed is None else line.taxed for line in lines}
    taxed = [*(taxable[line.id] for line in charges.lines), by_kind["labor"], by_kind["supplies"]]
    nets = nets_of(book, charges, discounts.off)
    kinds: list[LineKind] = [*(line.kind for line in charges.lines), "labor", "supplies"]
    tax = tax_on(profile, [n if t else 0 for n, t in zip(nets, taxed, strict=True)], kinds, exempt=exempt)
    tax_by_line = {line.id: own for line, own in zip(charges.lines, tax.each[:-2], strict=True)}

    subtotal = charges.whole - discounts.off - tax.taken_out
    net = subtotal - tax.whole if profile.inclusive else subtotal
    total = net + tax.whole
    deposit = _deposit(book, charges, total)
    prices = charges.prices | {line_id: LinePrice(None, 0, off, 0) for line_id, off in discounts.by_line.items()}
    return QuoteTotals(
        lines=tuple(
            _line_totals(
                line,
                prices[line.id],
                accepted=_counts(line, accepted),
                taxable=taxable[line.id],
                tax_minor=tax_by_line.get(line.id),
            )
            for line in lines
        ),
        added=_added(charges, discounts, tax, by_kind),
        by_rank=_by_rank(charges),
        subtotal_minor=subtotal,
        net_minor=net,
        tax=tax.rows,
        tax_minor=tax.whole,
        total_minor=total,
        deposit_minor=deposit,
        owed_after_deposit_minor=total - deposit,
    )


def _line_totals(
    line: QuoteLine, price: LinePrice, *, accepted: bool, taxable: bool, tax_minor: int | None
) -> LineTotals:
    return LineTotals(
        id=line.id,
        accepted=accepted,
        unit_minor=price.unit,
        gross_minor=price.gross,
        discount_minor=price.discount,
        core_minor=price.core,
        amount_minor=price.amount,
        taxable=taxable,
        tax_minor=tax_minor,
    )


def in_order(lines: Sequence[QuoteLine]) -> list[QuoteLine]:
    """The lines in the order that decides ties."""
    return sorted(lines, key=lambda line: (line.position, line.id))


def is_repair_labor(line: QuoteLine) -> bool:
    """Whether a diagnosis fee is credited against a line: all labor but diagnosis and travel."""
    return line.kind == "labor" and line.work not in ("diagnosis", "travel")


def is_diagnosis_fee(line: QuoteLine) -> bool:
    """Whether a line charges the diagnosis fee."""
    return line.kind == "fee" and line.work == "diagnosis"


@dataclass(frozen=True)
class Charges:
    """The sum of 1 to 4: the accepted lines, additions and the credit.

    `lines` has no discount lines; `prices` includes those of declined lines.
    """

    lines: list[QuoteLine]
    prices: dict[UUID, LinePrice]
    amount_of_lines: int
    labor_minimum: int
    supplies: int
    diagnosis_credit: int

    @property
    def whole(self) -> int:
        """The amount that discounts are computed on; below zero only where an invoice takes back more than it bills."""
        return self.amount_of_lines + self.labor_minimum + self.supplies - self.diagnosis_credit


def add_charges(book: ShopPrices, lines: Sequence[QuoteLine], accepted: Collection[UUID] | None) -> Charges:
    """Steps 1 to 4 over lines that all have a price."""
    prices = {line.id: _price(book, line) for line in lines if line.kind != "discount"}
    counted = [line for line in lines if line.id in prices and _counts(line, accepted)]

    def charged(which: Callable[[QuoteLine], bool]) -> int:
        return sum(prices[line.id].charge for line in counted if which(line))

    labor = sum(prices[line.id].gross for line in counted if line.kind == "labor")
    has_supplies = any(line.kind == "supplies" for line in lines)
    credit = max(0, min(charged(is_diagnosis_fee), charged(is_repair_labor)))
    return Charges(
        lines=counted,
        prices=prices,
        amount_of_lines=sum(prices[line.id].amount for line in counted),
        labor_minimum=max(book.labor_minimum_minor - labor, 0) if labor > 0 else 0,
        supplies=0 if has_supplies else _supplies(book, charged(lambda line: line.kind in book.supplies.of)),
        diagnosis_credit=credit if book.credit_diagnosis else 0,
    )


def _supplies(book: ShopPrices, base: int) -> int:
    if base <= 0:
        return 0
    rule = book.supplies
    charge = max(round_half(percent_of(base, rule.percent), book.rounding), rule.floor_minor)
    return charge if rule.cap_minor is None else min(charge, rule.cap_minor)


@dataclass(frozen=True)
class Discounts:
    """Step 5 as positive figures: per discount line, of the quote itself, and the sum."""

    by_line: dict[UUID, int]
    off_quote: int
    off: int


def wanted_discounts(
    book: ShopPrices, lines: Sequence[QuoteLine], discount: Discount | None, whole: int, *, offered: int
) -> Discounts:
    """The discounts (R8), each computed on the whole that counts, before they are limited to it.

    `offered`: the whole if every line counted. Of 100.00 off an offer of 400.00, 25.00 are deducted where 100.00 count.
    """
    whole = max(whole, 0)

    def wanted(percent: Decimal | None, minor: int | None) -> int:
        if percent is not None:
            return round_half(percent_of(whole, percent), book.rounding)
        fixed = minor or 0
        # With a labor minimum a part can cost more than the whole; the discount is not exceeded.
        if book.rules_version == 1 or book.fixed_discount == "full" or whole >= offered:
            return fixed
        return round_half(Fraction(fixed * whole, offered), book.rounding)

    by_line = {line.id: wanted(line.discount_percent, line.discount_minor) for line in lines if line.kind == "discount"}
    off_quote = wanted(discount.percent, discount.minor) if discount else 0
    return Discounts(by_line, off_quote, sum(by_line.values()) + off_quote)


def _hold_discounts(wanted: Discounts, whole: int, accepted: Collection[UUID] | None) -> Discounts:
    """The discounts that count, in order, together limited to the whole.

    A declined discount line keeps its amount, which is in no sum.
    """
    whole = max(whole, 0)
    left, by_line = whole, {}
    for line_id, amount in wanted.by_line.items():
        if accepted is None or line_id in accepted:
            by_line[line_id] = min(amount, left)
            left -= by_line[line_id]
        else:
            by_line[line_id] = min(amount, whole)
    off_quote = min(wanted.off_quote, left)
    return Discounts(by_line, off_quote, whole - left + off_quote)


def nets_of(book: ShopPrices, charges: Charges, off: int) -> list[int]:
    """What remains of each line, the labor minimum and the supplies after credit and discounts (S1)."""
    prices = [charges.prices[line.id] for line in charges.lines]
    credited = is_diagnosis_fee if book.rules_version > 2 else is_repair_labor
    nets = [*(price.amount for price in prices), charges.labor_minimum, charges.supplies]
    charged = [p.charge if credited(line) else 0 for line, p in zip(charges.lines, prices, strict=True)]
    nets = _less(nets, share_out(charges.diagnosis_credit, [*charged, 0, 0]))
    return _less(nets, share_out(off, nets))


def _less(amounts: list[int], shares: list[int]) -> list[int]:
    return [amount - share for amount, share in zip(amounts, shares, strict=True)]


def _added(charges: Charges, discounts: Discounts, tax: Tax, taxed: Mapping[LineKind, bool]) -> tuple[Added, ...]:
    """The nonzero amounts below the lines. Their taxes follow those of the lines in `tax`."""
    tax_of_minimum, tax_of_supplies = tax.each[-2:]
    rows = (
        Added(
            key="labor_minimum",
            amount_minor=charges.labor_minimum,
            taxable=taxed["labor"],
            tax_minor=tax_of_minimum,
        ),
        Added(
            key="supplies",
            amount_minor=charges.supplies,
            taxable=taxed["supplies"],
            tax_minor=tax_of_supplies,
        ),
        Added(key="diagnosis_credit", amount_minor=-charges.diagnosis_credit),
        Added(key="discount", amount_minor=-discounts.off_quote),
        Added(key="exemption", amount_minor=-tax.taken_out),
    )
    return tuple(row for row in rows if row.amount_minor)


def _by_rank(charges: Charges) -> RankTotals:
    totals = dict.fromkeys(RANKS, 0)
    for line in charges.lines:
        totals[line.rank] += charges.prices[line.id].amount
    return RankTotals(**totals)


def _deposit(book: ShopPrices, charges: Charges, total: int) -> int:
    """The deposit (R9), limited to the total."""
    rule = book.deposit
    if total < rule.from_total_minor:
        return 0
    if rule.fixed_minor is not None:
        return min(rule.fixed_minor, total)
    parts = max(0, sum(charges.prices[line.id].amount for line in charges.lines if line.kind == "part"))
    exact = percent_of(parts if rule.of == "parts" else total, rule.percent)
    return min(round_to_step(exact, rule.rounding_to_minor, book.rounding), total)


def _counts(line: QuoteLine, accepted: Collection[UUID] | None) -> bool:
    return accepted is None or line.id in accepted


def _price(book: ShopPrices, line: QuoteLine) -> LinePrice:
    price = price_line(book, line)
    if price is None:
        raise ValueError(f"line {line.id} has no price: check_lines comes before compute_totals")
    return price
