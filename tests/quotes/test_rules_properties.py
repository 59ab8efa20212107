"""Properties of every quote."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from random import Random
from typing import Any, NamedTuple
from uuid import UUID

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shopapi.core.money import Rounding, round_half, share_out
from shopapi.core.schema import parse
from shopapi.quotes.rules import Discount, QuoteLine, QuoteTotals, ShopPrices, basis_on, check_lines, compute_totals
from shopapi.quotes.rules.taxes import rates_of, tax_on
from tests.quotes.drawn_quotes import ROUNDINGS, draw_quote

roundings = st.sampled_from(ROUNDINGS)
amounts = st.integers(0, 10**10)
by_chance = settings(max_examples=200, deadline=None)


class Drawn(NamedTuple):
    """A valid quote on its basis."""

    basis: ShopPrices
    lines: Sequence[QuoteLine]
    accepted: frozenset[UUID] | None
    discount: Discount
    exempt: bool

    def totals(self, **other: Any) -> QuoteTotals:
        quote = self._replace(**other)
        return compute_totals(
            quote.basis, quote.lines, accepted=quote.accepted, discount=quote.discount, exempt=quote.exempt
        )


@st.composite
def drawn(draw: st.DrawFn) -> Drawn:
    quote = draw_quote(Random(draw(st.integers(0, 2**64))))  # noqa: S311 - drawn, no secret
    basis = basis_on(parse(ShopPrices, quote["book"]), date.fromisoformat(quote["on"]))
    assume(basis)
    assert basis is not None
    basis = basis.model_copy(update={"rules_version": quote["rules_version"]})
    lines = [parse(QuoteLine, line) for line in quote["lines"]]
    discount = parse(Discount, quote["discount"] or {})
    assume(not check_lines(basis, lines, discount=discount))
    accepted = None if quote["accepted"] is None else frozenset(map(UUID, quote["accepted"]))
    return Drawn(basis, lines, accepted, discount, quote["exempt"])


@given(drawn())
@by_chance
def test_the_parts_come_to_the_total(quote: Drawn) -> None:
    found = quote.totals()
    (profile,) = quote.basis.tax_profiles
    counted = sum(line.amount_minor for line in found.lines if line.accepted)
    assert counted + sum(row.amount_minor for row in found.added) == found.subtotal_minor
    assert found.net_minor + found.tax_minor == found.total_minor
    assert found.subtotal_minor == (found.total_minor if profile.inclusive else found.net_minor)
    assert sum(row.tax_minor for row in found.tax) == (found.tax_minor if found.tax else 0)
    assert found.deposit_minor + found.owed_after_deposit_minor == found.total_minor
    by_line = [line.tax_minor for line in found.lines] + [row.tax_minor for row in found.added]
    if profile.per == "line":
        assert sum(filter(None, by_line)) == found.tax_minor
    else:
        assert set(by_line) <= {None}


def fixed_discounts(quote: Drawn) -> list[int]:
    """The fixed amounts off the whole quote."""
    fixed = [line.discount_minor for line in quote.lines if line.kind == "discount"]
    return [minor for minor in (*fixed, quote.discount.minor) if minor]


def off_by_fixed(quote: Drawn, found: QuoteTotals) -> int:
    """What the fixed discounts took off, with the lines that count."""
    fixed = {line.id for line in quote.lines if line.kind == "discount" and line.discount_minor}
    off = -sum(line.amount_minor for line in found.lines if line.accepted and line.id in fixed)
    if quote.discount.minor:
        off -= sum(row.amount_minor for row in found.added if row.key == "discount")
    return off


@given(drawn())
@by_chance
def test_a_fixed_discount_is_granted_in_the_share_that_is_accepted(quote: Drawn) -> None:
    """Held to exact fractions: granted / fixed = accepted / offered, to half a minor unit for each discount."""
    fixed = fixed_discounts(quote)
    assume(fixed)
    discounts = {line.id for line in quote.lines if line.kind == "discount"}
    none_off = {"discount": Discount(), "lines": [line for line in quote.lines if line.kind != "discount"]}
    free = quote._replace(exempt=True, accepted=(quote.accepted or frozenset()) | discounts)
    shared = {"rules_version": 2, "fixed_discount": "shared", "tax_profiles": untaxed(quote)}
    free = free._replace(basis=free.basis.model_copy(update=shared))
    offered = free.totals(**none_off, accepted=None).subtotal_minor
    counted = free.totals(**none_off, accepted=(quote.accepted or frozenset()) - discounts).subtotal_minor
    granted = off_by_fixed(free, free.totals())
    share = min(Fraction(counted, offered), Fraction(1)) if offered else Fraction(0)
    assert granted <= min(sum(fixed), counted)
    # Where percentages come before it, less may be left than the share.
    left = counted - free.totals().subtotal_minor
    assert granted <= sum(fixed) * share + Fraction(len(fixed), 2)
    assert granted >= sum(fixed) * share - Fraction(len(fixed), 2) or left == counted


def untaxed(quote: Drawn) -> tuple[Any, ...]:
    (profile,) = quote.basis.tax_profiles
    return (profile.model_copy(update={"rates": ()}),)


@given(drawn())
@by_chance
def test_a_part_costs_no_more_than_the_whole(quote: Drawn) -> None:
    # A labor minimum looks at labor before discounts, and a supplies line stands for the percentage even when
    # declined: there a part may cost more by the shop's own rule.
    assume(quote.basis.labor_minimum_minor == 0)
    assume(all(line.kind != "supplies" for line in quote.lines))
    discounts = {line.id for line in quote.lines if line.kind == "discount"}
    part = quote.totals(accepted=(quote.accepted or frozenset()) | discounts)
    whole = quote.totals(accepted=None)
    # Each discount is rounded by itself, to less than one minor unit.
    jitter = len(discounts) + 1
    assert part.subtotal_minor - taken_out(part) <= whole.subtotal_minor - taken_out(whole) + jitter


def taken_out(found: QuoteTotals) -> int:
    return sum(row.amount_minor for row in found.added if row.key == "exemption")


@given(drawn(), amounts)
@by_chance
def test_taxes_rounded_each_are_each_nearest_to_their_own(quote: Drawn, amount: int) -> None:
    (profile,) = quote.basis.tax_profiles
    apart = profile.model_copy(update={"rates_rounded": "each", "per": "invoice"})
    found = tax_on(apart, [amount], ["part"], exempt=False)
    assert found.whole == sum(row.tax_minor for row in found.rows)
    rates = sum(Fraction(rate.percent) for rate in rates_of(profile, "part")) / 100
    for row in found.rows:
        exact = amount * Fraction(row.percent) / 100 / (1 + rates if profile.inclusive else 1)
        assert abs(row.tax_minor - exact) <= Fraction(1, 2)
    together = tax_on(profile.model_copy(update={"rates_rounded": "together"}), [amount], ["part"], exempt=False).whole
    assert abs(found.whole - together) <= Fraction(len(profile.rates) + 1, 2)


@given(drawn())
@by_chance
def test_nothing_is_ever_negative(quote: Drawn) -> None:
    found = quote.totals()
    amounts = (
        found.subtotal_minor,
        found.net_minor,
        found.tax_minor,
        found.total_minor,
        found.deposit_minor,
        found.owed_after_deposit_minor,
        *found.by_rank.model_dump().values(),
        *(row.tax_minor for row in found.tax),
        *(row.base_minor for row in found.tax),
    )
    assert min(amounts) >= 0


@given(drawn(), st.randoms(use_true_random=False))
@by_chance
def test_the_order_of_lines_does_not_matter(quote: Drawn, random: Random) -> None:
    shuffled = list(quote.lines)
    random.shuffle(shuffled)
    assert quote.totals(lines=shuffled) == quote.totals()


@given(drawn())
@by_chance
def test_declined_lines_leave_the_sums_of_a_quote_without_them(quote: Drawn) -> None:
    # A supplies line counts against the percentage even when declined: that is the owner's choice.
    assume(all(line.kind != "supplies" for line in quote.lines))
    # A fixed discount is for the whole offer, declined lines too.
    in_full = quote.basis.rules_version == 1 or quote.basis.fixed_discount == "full"
    assume(in_full or not fixed_discounts(quote))
    kept = [line for line in quote.lines if quote.accepted is None or line.id in quote.accepted]
    whole, alone = quote.totals(), quote.totals(lines=kept, accepted=None)
    assert [line for line in whole.lines if line.accepted] == list(alone.lines)
    left_out = {"lines"}
    assert whole.model_dump(exclude=left_out) == alone.model_dump(exclude=left_out)


@given(drawn())
@by_chance
def test_rank_totals_are_those_of_the_lines_shown(quote: Drawn) -> None:
    found = quote.totals()
    kinds = {line.id: (line.kind, line.rank) for line in quote.lines}
    totals = {"safety": 0, "needed": 0, "advised": 0}
    for line in found.lines:
        kind, rank = kinds[line.id]
        if line.accepted and kind != "discount":
            totals[rank] += line.amount_minor
    assert found.by_rank.model_dump() == totals


@given(drawn())
@by_chance
def test_exempt_is_the_same_quote_without_its_tax(quote: Drawn) -> None:
    exempt, taxed = quote.totals(exempt=True), quote.totals(exempt=False)
    assert (exempt.tax_minor, exempt.tax) == (0, ())
    assert exempt.total_minor == exempt.net_minor == taxed.net_minor


@given(drawn())
@by_chance
def test_without_rates_there_is_no_tax(quote: Drawn) -> None:
    (profile,) = quote.basis.tax_profiles
    rateless = profile.model_copy(update={"rates": ()})
    found = quote.totals(basis=quote.basis.model_copy(update={"tax_profiles": (rateless,)}), exempt=False)
    assert (found.tax_minor, found.total_minor) == (0, found.subtotal_minor)


@given(drawn(), amounts)
@by_chance
def test_tax_on_top_is_found_again_inside(quote: Drawn, amount: int) -> None:
    (profile,) = quote.basis.tax_profiles
    # Rates that are rounded each by itself do not come back out of a rounded sum.
    profile = profile.model_copy(update={"rates_rounded": "together"})
    on_top = profile.model_copy(update={"inclusive": False})
    inside = profile.model_copy(update={"inclusive": True})
    assume(any(rate.percent for rate in profile.rates))
    tax = tax_on(on_top, [amount], ["part"], exempt=False).whole
    assert tax_on(inside, [amount + tax], ["part"], exempt=False).whole == tax


@given(st.fractions(max_denominator=10**9), roundings)
def test_round_half_is_never_more_than_half_away(exact: Fraction, rounding: Rounding) -> None:
    found = round_half(exact, rounding)
    assert abs(found - exact) <= Fraction(1, 2)
    if abs(found - exact) < Fraction(1, 2):
        assert {round_half(exact, other) for other in ROUNDINGS} == {found}


@given(st.lists(amounts, min_size=1, max_size=30), st.data())
def test_shares_are_whole_near_and_never_more_than_their_weight(weights: list[int], data: st.DataObject) -> None:
    whole = sum(weights)
    amount = data.draw(st.integers(0, whole))
    shares = share_out(amount, weights)
    assert sum(shares) == amount
    for share, weight in zip(shares, weights, strict=True):
        assert 0 <= share <= weight
        assert not whole or abs(share - Fraction(amount * weight, whole)) < 1
