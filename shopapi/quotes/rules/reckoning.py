"""The reckoning of a quote: from the price book and the lines to the cent.

Twin: `pwa/src/domain/reckoning.ts`; they agree on every vector of `fixtures/pricing` and on the
generated quotes of `tests/quotes/test_twin.py`.

What is added up, in this order (only accepted lines count; `accepted=None` counts all):
1. each line: its price, less its own discount, plus its core charge;
2. the labor minimum: what accepted labor, before its discounts, falls short of it, when any is charged;
3. supplies: a share of labor and/or parts, unless the quote has a supplies line of its own;
4. the diagnosis fee, credited up to its amount against accepted repair labor;
5. discount lines, then the quote's discount: each a share of the sum of 1 to 4, or an amount, together
   never more than that sum;
6. tax by profile on what is left of each taxed line and addition.

Rounding points; nothing else is rounded:
R1 labor         hours x rate
R2 unit price    unit cost + mark-up of its band
R3 quantity      quantity x unit price
R4 core          quantity x core charge, apart from R3
R5 travel        distance past the free units x price of one
R6 line discount percentage of the line without its core charge
R7 supplies      percentage of the labor and part lines less their discounts, without core charges
R8 discount      each discount line's and the quote's percentage of the sum of 1 to 4
R9 deposit       percentage of parts or total, to the step that the book names
    R1 to R9 by the book's rounding.
T1 tax           all rates together, for each line or once for the whole, by the profile's rounding
S1 shares        a credit, discount or tax cut into shares by largest remainder, ties to the earlier
                 line (position, then id): whole units, nothing lost
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal
from uuid import UUID

from shopapi.core.money import percent_of, round_half, round_to_step, share_out
from shopapi.core.shape import DecimalText, Shape
from shopapi.quotes.rules.book import LaborRate, PriceBook, TaxProfile
from shopapi.quotes.rules.lines import RANKS, Discount, LineKind, QuoteLine, Rank

AddedKey = Literal["labor_minimum", "supplies", "diagnosis_credit", "discount", "exemption"]


class ReckonedLine(Shape):
    """One line in minor units: amount = gross - discount + core. A discount line's amount is negative.

    `unit_minor` is the price of one hour, piece or unit of distance where the line has one.
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


class Added(Shape):
    """An amount that no line states; credits, discounts and the exemption are negative."""

    key: AddedKey
    amount_minor: int
    taxable: bool = False
    tax_minor: int | None = None


class TaxRow(Shape):
    """One rate's share of the tax; `base_minor` is the amount taxed, without the tax."""

    key: str
    label: str
    percent: DecimalText
    base_minor: int
    tax_minor: int


class RankTotals(Shape):
    """The accepted lines' amounts as they stand under each rank, discount lines not among them."""

    safety: int
    needed: int
    advised: int


class Reckoning(Shape):
    """A quote reckoned. The accepted lines and the added amounts come to `subtotal_minor`.

    Prices without tax: subtotal = net, net + tax = total. Prices with tax: subtotal = total,
    total - tax = net.
    """

    lines: tuple[ReckonedLine, ...]
    added: tuple[Added, ...]
    by_rank: RankTotals
    subtotal_minor: int
    net_minor: int
    tax: tuple[TaxRow, ...]
    tax_minor: int
    total_minor: int
    deposit_minor: int
    owed_after_deposit_minor: int


@dataclass(frozen=True)
class LinePrice:
    """What one line costs by itself, in minor units; `unit` is None where nothing is counted."""

    unit: int | None
    gross: int
    discount: int
    core: int

    @property
    def charge(self) -> int:
        """What the shop earns by the line: without the core charge, which goes back."""
        return self.gross - self.discount

    @property
    def amount(self) -> int:
        """What the line adds to the quote."""
        return self.charge + self.core


def labor_rate(book: PriceBook, line: QuoteLine) -> LaborRate:
    """The rate of a labor line: the one it names; else the nearest of member and work; else the first.

    Nearest: made for this member and this work, then for the member, then for the work.
    """
    if line.rate_key is not None:
        return next(rate for rate in book.labor_rates if rate.key == line.rate_key)
    work = line.work or "repair"
    for wanted in ((line.member_id, work), (line.member_id, None), (None, work)):
        for rate in book.labor_rates:
            if wanted != (None, None) and (rate.member_id, rate.work) == wanted:
                return rate
    return book.labor_rates[0]


def part_price(book: PriceBook, line: QuoteLine) -> int | None:
    """The price of one part (R2): the set price, else cost and the mark-up of its band; None: neither."""
    if line.unit_price_minor is not None:
        return line.unit_price_minor
    cost = line.unit_cost_minor
    if cost is None:
        return None
    for band in book.part_bands:
        if band.up_to_minor is None or cost <= band.up_to_minor:
            return round_half(cost + percent_of(cost, band.markup_percent), book.rounding)
    return None


def _labor_price(book: PriceBook, line: QuoteLine) -> tuple[int | None, int | None]:
    if line.fixed_minor is not None:
        return None, line.fixed_minor
    if line.hours is None:
        return None, None
    rate = labor_rate(book, line).minor_per_hour
    return rate, round_half(Fraction(line.hours) * rate, book.rounding)


def _travel_price(book: PriceBook, line: QuoteLine) -> tuple[int | None, int | None]:
    travel = book.travel
    if line.fixed_minor is not None:
        return None, line.fixed_minor
    if travel.mode == "zone":
        return None, next((zone.minor for zone in travel.zones if zone.key == line.zone_key), None)
    if line.distance is None:
        return None, None
    past = Fraction(line.distance) - Fraction(travel.free_units)
    if past <= 0:
        return travel.minor_per_unit, 0
    charge = round_half(past * travel.minor_per_unit, book.rounding)
    return travel.minor_per_unit, max(charge, travel.minimum_minor)


def _counted_price(book: PriceBook, line: QuoteLine) -> tuple[int | None, int | None]:
    if line.fixed_minor is not None:
        return None, line.fixed_minor
    if line.kind == "fee" and line.work == "diagnosis" and line.unit_price_minor is None:
        return None, book.diagnosis_fee_minor
    unit = part_price(book, line)
    if unit is None:
        return None, None
    return unit, round_half(_quantity(line) * unit, book.rounding)


def _quantity(line: QuoteLine) -> Fraction:
    return Fraction(1 if line.quantity is None else line.quantity)


def price_line(book: PriceBook, line: QuoteLine) -> LinePrice | None:
    """What a line costs by itself; None where it lacks a price. Not for discount lines."""
    match line.kind:
        case "labor":
            unit, gross = _labor_price(book, line)
        case "travel":
            unit, gross = _travel_price(book, line)
        case _:
            unit, gross = _counted_price(book, line)
    if gross is None:
        return None
    discount = line.discount_minor or 0
    if line.discount_percent is not None:
        discount = round_half(percent_of(gross, line.discount_percent), book.rounding)
    core = round_half(_quantity(line) * (line.core_minor or 0), book.rounding)
    return LinePrice(unit, gross, discount, core)


def is_repair_labor(line: QuoteLine) -> bool:
    """Labor against which a diagnosis fee is credited: all but diagnosis and travel."""
    return line.kind == "labor" and line.work not in ("diagnosis", "travel")


def is_diagnosis_fee(line: QuoteLine) -> bool:
    """The line that charges the diagnosis fee."""
    return line.kind == "fee" and line.work == "diagnosis"


@dataclass(frozen=True)
class Charges:
    """The sum of 1 to 4: accepted lines but for discounts, what is added to them, what is credited."""

    lines: tuple[QuoteLine, ...]
    prices: tuple[LinePrice, ...]
    labor_minimum: int
    supplies: int
    diagnosis_credit: int

    @property
    def whole(self) -> int:
        """What discounts are taken of; never negative."""
        lines = sum(price.amount for price in self.prices)
        return lines + self.labor_minimum + self.supplies - self.diagnosis_credit


def add_up(book: PriceBook, lines: Sequence[QuoteLine], accepted: Collection[UUID] | None) -> Charges:
    """Steps 1 to 4 over lines in their order (position, then id), each of which has a price."""
    counted = [line for line in lines if line.kind != "discount" and (accepted is None or line.id in accepted)]
    prices = [_priced(book, line) for line in counted]

    labor = sum(p.gross for line, p in zip(counted, prices, strict=True) if line.kind == "labor")
    labor_minimum = max(book.labor_minimum_minor - labor, 0) if labor else 0

    supplies = 0
    if not any(line.kind == "supplies" for line in lines):
        of = book.supplies.of
        base = sum(p.charge for line, p in zip(counted, prices, strict=True) if line.kind in of)
        if base:
            share = round_half(percent_of(base, book.supplies.percent), book.rounding)
            supplies = max(share, book.supplies.floor_minor)
            if book.supplies.cap_minor is not None:
                supplies = min(supplies, book.supplies.cap_minor)

    credit = 0
    if book.credit_diagnosis:
        fee = sum(p.charge for line, p in zip(counted, prices, strict=True) if is_diagnosis_fee(line))
        repair = sum(p.charge for line, p in zip(counted, prices, strict=True) if is_repair_labor(line))
        credit = min(fee, repair)

    return Charges(tuple(counted), tuple(prices), labor_minimum, supplies, credit)


@dataclass(frozen=True)
class Discounts:
    """Step 5, amounts off as positive figures, by discount line and for the quote's own."""

    by_line: dict[UUID, int]
    off_quote: int


def discounts_wanted(
    book: PriceBook, lines: Sequence[QuoteLine], discount: Discount | None, whole: int
) -> Discounts:
    """What the discounts come to (R8), each taken of the whole, before they are held to it."""

    def wanted(percent: Decimal | None, minor: int | None) -> int:
        if percent is not None:
            return round_half(percent_of(whole, percent), book.rounding)
        return minor or 0

    return Discounts(
        {
            line.id: wanted(line.discount_percent, line.discount_minor)
            for line in lines
            if line.kind == "discount"
        },
        wanted(discount.percent, discount.minor) if discount else 0,
    )


def _held_to(whole: int, wanted: Discounts, accepted: Collection[UUID] | None) -> tuple[Discounts, int]:
    """The discounts, together never more than the whole, and what is left of it."""
    left, by_line = whole, {}
    for line_id, amount in wanted.by_line.items():
        if accepted is None or line_id in accepted:
            by_line[line_id] = min(amount, left)
            left -= by_line[line_id]
        else:
            by_line[line_id] = min(amount, whole)
    off_quote = min(wanted.off_quote, left)
    return Discounts(by_line, off_quote), left - off_quote


def _priced(book: PriceBook, line: QuoteLine) -> LinePrice:
    price = price_line(book, line)
    if price is None:
        raise ValueError(f"line {line.id} has no price: check_lines comes before reckon")
    return price


def in_order(lines: Sequence[QuoteLine]) -> list[QuoteLine]:
    """The order that decides ties, whatever order the lines came in."""
    return sorted(lines, key=lambda line: (line.position, line.id))


def _tax_of(amount: int, profile: TaxProfile) -> int:
    """All rates of a profile on one amount together (T1): on top of it, or out of it when inclusive."""
    rate = sum((Fraction(rate.percent) for rate in profile.rates), Fraction(0)) / 100
    exact = amount * rate / (1 + rate) if profile.inclusive else amount * rate
    return round_half(exact, profile.rounding)


def is_taxed(profile: TaxProfile, kind: LineKind, *, with_parts: bool) -> bool:
    """Whether the profile taxes a kind of line; `with_parts`: the shop supplies a part too."""
    if profile.lumped:
        return True
    match kind:
        case "labor":
            return profile.labor == "always" or (profile.labor == "when_parts_supplied" and with_parts)
        case "part":
            return profile.part
        case "travel":
            return profile.travel
        case "fee":
            return profile.fee
        case "supplies":
            return profile.supplies
        case "discount":
            return False


def _nets(charges: Charges, left: int) -> list[int]:
    """What is left (S1) of each accepted line, the labor minimum and the supplies, in this order."""
    nets = [price.amount for price in charges.prices] + [charges.labor_minimum, charges.supplies]
    repair = [
        price.charge if is_repair_labor(line) else 0
        for line, price in zip(charges.lines, charges.prices, strict=True)
    ]
    for off, among in ((charges.diagnosis_credit, [*repair, 0, 0]), (charges.whole - left, None)):
        shares = share_out(off, nets if among is None else among)
        nets = [net - share for net, share in zip(nets, shares, strict=True)]
    return nets


def reckon(
    book: PriceBook,
    lines: Sequence[QuoteLine],
    *,
    accepted: Collection[UUID] | None = None,
    discount: Discount | None = None,
    exempt: bool = False,
) -> Reckoning:
    """Reckon a quote on its basis, a price book with exactly one tax profile.

    `check_lines` comes first: it refuses what cannot be reckoned. The lines come back in the order of
    position and id, the declined ones with their price but in no sum. `exempt`: the customer pays no
    tax; from prices that hold it, it is taken out.

    Two blades at 31.40 and 1.5 h at 85.00 with 6 % tax on parts alone: 62.80 + 127.50 = 190.30, tax
    3.77 (3.768), total 194.07.
    """
    (profile,) = book.tax_profiles
    ordered = in_order(lines)
    charges = add_up(book, ordered, accepted)
    wanted = discounts_wanted(book, ordered, discount, charges.whole)
    discounts, subtotal = _held_to(charges.whole, wanted, accepted)
    with_parts = any(line.kind == "part" for line in charges.lines)

    def taxable(line: QuoteLine) -> bool:
        by_kind = is_taxed(profile, line.kind, with_parts=with_parts)
        return by_kind if line.taxed is None else line.taxed

    labor_taxed = is_taxed(profile, "labor", with_parts=with_parts)
    supplies_taxed = is_taxed(profile, "supplies", with_parts=with_parts)
    taxed = [*map(taxable, charges.lines), labor_taxed, supplies_taxed]
    bases = [net if is_base else 0 for net, is_base in zip(_nets(charges, subtotal), taxed, strict=True)]
    each = [_tax_of(base, profile) for base in bases] if profile.per == "line" else None
    tax = _tax_of(sum(bases), profile) if each is None else sum(each)

    exemption = 0
    if exempt:
        exemption = tax if profile.inclusive else 0
        subtotal -= exemption
        tax, each = 0, each and [0] * len(each)
    net = subtotal - tax if profile.inclusive else subtotal
    total = net + tax
    rows = () if exempt else _tax_rows(profile, sum(bases), tax)

    tax_by_line = dict(zip((line.id for line in charges.lines), each or (), strict=False))
    of_minimum, of_supplies = each[-2:] if each else (None, None)
    added = (
        Added(key="labor_minimum", amount_minor=charges.labor_minimum, taxable=labor_taxed, tax_minor=of_minimum),
        Added(key="supplies", amount_minor=charges.supplies, taxable=supplies_taxed, tax_minor=of_supplies),
        Added(key="diagnosis_credit", amount_minor=-charges.diagnosis_credit),
        Added(key="discount", amount_minor=-discounts.off_quote),
        Added(key="exemption", amount_minor=-exemption),
    )
    reckoned = []
    for line in ordered:
        if line.kind == "discount":
            price = LinePrice(unit=None, gross=0, discount=discounts.by_line[line.id], core=0)
        else:
            price = _priced(book, line)
        reckoned.append(
            ReckonedLine(
                id=line.id,
                accepted=accepted is None or line.id in accepted,
                unit_minor=price.unit,
                gross_minor=price.gross,
                discount_minor=price.discount,
                core_minor=price.core,
                amount_minor=price.amount,
                taxable=taxable(line),
                tax_minor=tax_by_line.get(line.id),
            )
        )
    by_rank = dict.fromkeys(RANKS, 0)
    parts = 0
    for line, price in zip(charges.lines, charges.prices, strict=True):
        by_rank[line.rank] += price.amount
        parts += price.amount if line.kind == "part" else 0
    deposit = _deposit(book, parts, total)
    return Reckoning(
        lines=tuple(reckoned),
        added=tuple(row for row in added if row.amount_minor),
        by_rank=RankTotals(**by_rank),
        subtotal_minor=subtotal,
        net_minor=net,
        tax=rows,
        tax_minor=tax,
        total_minor=total,
        deposit_minor=deposit,
        owed_after_deposit_minor=total - deposit,
    )


def _tax_rows(profile: TaxProfile, base: int, tax: int) -> tuple[TaxRow, ...]:
    """The tax cut into its rates (S1); no rows when nothing is taxed."""
    if not base or not profile.rates:
        return ()
    # Six digits after the point at most: in millionths every rate is a whole weight.
    shares = share_out(tax, [int(rate.percent * 1_000_000) for rate in profile.rates])
    return tuple(
        TaxRow(
            key=rate.key,
            label=rate.label,
            percent=rate.percent,
            base_minor=base - tax if profile.inclusive else base,
            tax_minor=share,
        )
        for rate, share in zip(profile.rates, shares, strict=True)
    )


def _deposit(book: PriceBook, parts: int, total: int) -> int:
    """What is asked for in advance (R9): of the accepted part lines or the total, never more than it."""
    rule = book.deposit
    if total < rule.from_total_minor:
        return 0
    exact = percent_of(parts if rule.of == "parts" else total, rule.percent)
    return min(round_to_step(exact, rule.rounding_to_minor, book.rounding), total)
