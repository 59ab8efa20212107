"""What holds of every quote, whatever is on it."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from random import Random
from typing import Any, NamedTuple
from uuid import UUID

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shopapi.core.money import Rounding, round_half, share_out
from shopapi.core.shape import decode
from shopapi.quotes.rules import Discount, PriceBook, QuoteLine, Reckoning, basis_on, check_lines, reckon
from shopapi.quotes.rules.taxes import tax_of
from tests.quotes.drawn_quotes import ROUNDINGS, draw_quote

roundings = st.sampled_from(ROUNDINGS)
amounts = st.integers(0, 10**10)
by_chance = settings(max_examples=200, deadline=None)


class Drawn(NamedTuple):
    """A quote that nothing is wrong with, on its basis."""

    basis: PriceBook
    lines: Sequence[QuoteLine]
    accepted: frozenset[UUID] | None
    discount: Discount
    exempt: bool

    def reckoned(self, **other: Any) -> Reckoning:
        quote = self._replace(**other)
        return reckon(quote.basis, quote.lines, accepted=quote.accepted, discount=quote.discount, exempt=quote.exempt)


@st.composite
def drawn(draw: st.DrawFn) -> Drawn:
    quote = draw_quote(Random(draw(st.integers(0, 2**64))))  # noqa: S311 - drawn, no secret
    basis = basis_on(decode(PriceBook, quote["book"]), date.fromisoformat(quote["on"]))
    assume(basis)
    lines = [decode(QuoteLine, line) for line in quote["lines"]]
    discount = decode(Discount, quote["discount"] or {})
    assume(not check_lines(basis, lines, discount=discount))
    accepted = None if quote["accepted"] is None else frozenset(map(UUID, quote["accepted"]))
    return Drawn(basis, lines, accepted, discount, quote["exempt"])


@given(drawn())
@by_chance
def test_the_parts_come_to_the_total(quote: Drawn) -> None:
    found = quote.reckoned()
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


@given(drawn())
@by_chance
def test_nothing_is_ever_negative(quote: Drawn) -> None:
    found = quote.reckoned()
    owed = (
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
    assert min(owed) >= 0


@given(drawn(), st.randoms(use_true_random=False))
@by_chance
def test_the_order_of_lines_does_not_matter(quote: Drawn, random: Random) -> None:
    shuffled = list(quote.lines)
    random.shuffle(shuffled)
    assert quote.reckoned(lines=shuffled) == quote.reckoned()


@given(drawn())
@by_chance
def test_declined_lines_leave_the_sums_of_a_quote_without_them(quote: Drawn) -> None:
    # A supplies line counts against the percentage even when declined: that is the owner's choice.
    assume(all(line.kind != "supplies" for line in quote.lines))
    kept = [line for line in quote.lines if quote.accepted is None or line.id in quote.accepted]
    whole, alone = quote.reckoned(), quote.reckoned(lines=kept, accepted=None)
    assert [line for line in whole.lines if line.accepted] == list(alone.lines)
    left_out = {"lines"}
    assert whole.model_dump(exclude=left_out) == alone.model_dump(exclude=left_out)


@given(drawn())
@by_chance
def test_rank_totals_are_those_of_the_lines_shown(quote: Drawn) -> None:
    found = quote.reckoned()
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
    exempt, taxed = quote.reckoned(exempt=True), quote.reckoned(exempt=False)
    assert (exempt.tax_minor, exempt.tax) == (0, ())
    assert exempt.total_minor == exempt.net_minor == taxed.net_minor


@given(drawn())
@by_chance
def test_without_rates_there_is_no_tax(quote: Drawn) -> None:
    (profile,) = quote.basis.tax_profiles
    rateless = profile.model_copy(update={"rates": ()})
    found = quote.reckoned(basis=quote.basis.model_copy(update={"tax_profiles": (rateless,)}), exempt=False)
    assert (found.tax_minor, found.total_minor) == (0, found.subtotal_minor)


@given(drawn(), amounts)
@by_chance
def test_tax_on_top_is_found_again_inside(quote: Drawn, amount: int) -> None:
    (profile,) = quote.basis.tax_profiles
    on_top = profile.model_copy(update={"inclusive": False})
    inside = profile.model_copy(update={"inclusive": True})
    assume(any(rate.percent for rate in profile.rates))
    tax = tax_of(amount, on_top)
    assert tax_of(amount + tax, inside) == tax


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
