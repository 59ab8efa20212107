"""The pricing rules where a vector does not reach: dates, states, shares, whole documents, the offer."""

import hashlib
import json
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any, get_args
from uuid import UUID

import pytest
import rfc8785

from shopapi.core.money import plain_amount, plain_decimal, round_to_step, share_out
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.quotes.messages import REFUSALS
from shopapi.quotes.rules import (
    QUOTE_TRANSITIONS,
    Discount,
    QuoteLine,
    QuoteState,
    ShopPrices,
    TaxProfile,
    basis_on,
    check_book,
    check_lines,
    compute_totals,
    is_digest_of_offer,
    json_digest,
    may_become,
    offer_document,
    profile_on,
)
from shopapi.quotes.rules.price_book import TaxRate
from shopapi.quotes.rules.taxes import is_taxed, tax_on

PRICING = Path(__file__).parents[2] / "fixtures" / "pricing"


@pytest.fixture
def offer() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((PRICING / "offer.json").read_text())
    return found


@pytest.fixture
def book(offer: dict[str, Any]) -> ShopPrices:
    return parse(ShopPrices, offer["basis"])


@pytest.fixture
def lines(offer: dict[str, Any]) -> list[QuoteLine]:
    return [parse(QuoteLine, line) for line in offer["lines"]]


def profile(key: str, from_on: date, until_on: date | None) -> TaxProfile:
    return TaxProfile(
        key=key,
        label=key,
        from_on=from_on,
        until_on=until_on,
        inclusive=False,
        per="invoice",
        rounding="half_away",
        rates=(),
        labor="always",
        part=True,
        supplies=True,
        travel=True,
        fee=True,
        lumped=False,
    )


@pytest.mark.parametrize("lumped", [False, True])
def test_a_discount_is_no_amount_that_is_taxed_itself(*, lumped: bool) -> None:
    taxing = profile("all", date(2026, 1, 1), None).model_copy(update={"lumped": lumped})
    assert is_taxed(taxing, "part", with_parts=True)
    assert not is_taxed(taxing, "discount", with_parts=True)


# Dates


@pytest.mark.parametrize(
    ("on", "key"),
    [
        (date(2025, 12, 31), None),
        (date(2026, 1, 1), "first"),
        (date(2026, 6, 30), "first"),
        (date(2026, 7, 1), "second"),
        (date(2027, 1, 1), "third"),
        (date(9999, 12, 31), "third"),
    ],
)
def test_profile_on_a_day_both_ends_included(book: ShopPrices, on: date, key: str | None) -> None:
    profiles = (
        profile("first", date(2026, 1, 1), date(2026, 6, 30)),
        profile("second", date(2026, 7, 1), date(2026, 12, 31)),
        profile("third", date(2027, 1, 1), None),
    )
    whole = book.model_copy(update={"tax_profiles": profiles})
    assert check_book(whole) == []
    found = profile_on(profiles, on)
    assert (found and found.key) == key
    basis = basis_on(whole, on)
    assert (basis and [one.key for one in basis.tax_profiles]) == (key and [key])


# States


def test_a_quote_goes_through_these_states_and_no_others() -> None:
    states = get_args(QuoteState.__value__)
    assert set(QUOTE_TRANSITIONS) == set(states)
    allowed = {(state, then) for state, then in product(states, states) if may_become(state, then)}
    assert allowed == {
        ("draft", "offered"),
        ("draft", "withdrawn"),
        ("offered", "decided"),
        ("offered", "lapsed"),
        ("offered", "replaced"),
        ("offered", "withdrawn"),
        ("decided", "replaced"),
        ("lapsed", "decided"),
        ("lapsed", "replaced"),
        ("lapsed", "withdrawn"),
    }


# Money


@pytest.mark.parametrize(
    ("amount", "weights", "shares"),
    [
        (0, [], []),
        (0, [0, 0], [0, 0]),
        (100, [1, 1, 1], [34, 33, 33]),
        (2, [1, 1, 1], [1, 1, 0]),
        (5, [0, 3, 0, 2], [0, 3, 0, 2]),
        (10, [1, 2, 4], [1, 3, 6]),
        (7, [7], [7]),
    ],
)
def test_share_out_loses_nothing(amount: int, weights: list[int], shares: list[int]) -> None:
    assert share_out(amount, weights) == shares


def test_share_out_among_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to share"):
        share_out(1, [0, 0])


def test_round_to_step_rounds_once() -> None:
    # By way of 250 whole cents, 249.5 would become 300.
    assert round_to_step(Fraction("249.5"), 100, "half_up") == 200
    assert round_to_step(Fraction(250), 100, "half_up") == 300
    assert round_to_step(Fraction(250), 100, "half_down") == 200


@pytest.mark.parametrize(
    ("minor", "digits", "text"),
    [(0, 2, "0.00"), (-5, 2, "-0.05"), (123456, 2, "1234.56"), (1500, 0, "1500"), (-7, 3, "-0.007")],
)
def test_plain_amount(minor: int, digits: int, text: str) -> None:
    assert plain_amount(minor, digits) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [("1.50", "1.5"), ("100", "100"), ("-0", "0"), ("0.000", "0"), ("-0.250", "-0.25"), ("1E+2", "100")],
)
def test_plain_decimal(number: str, text: str) -> None:
    assert plain_decimal(Decimal(number)) == text


# Whole documents (EN 16931 validation artefacts 1.3.16, ubl/examples)


def vat(amount: int, percent: str) -> int:
    rate = TaxRate(key="vat", label="VAT", percent=Decimal(percent))
    untaxed = profile("vat", date(2026, 1, 1), None)
    return tax_on(untaxed.model_copy(update={"rates": (rate,)}), [amount], ["part"], exempt=False).whole


@pytest.mark.parametrize(
    ("breakdown", "net", "tax", "total"),
    [
        pytest.param([(146050, "25"), (100, "15"), (-2500, "0")], 143650, 36528, 180178, id="ubl-tc434-example2"),
        pytest.param([(18323, "6"), (4637, "21")], 22960, 2073, 25033, id="ubl-tc434-example1"),
        pytest.param([(62574354, "25")], 62574354, 15643589, 78217943, id="BIS3_Invoice_positive"),
        pytest.param([(-62574354, "25")], -62574354, -15643589, -78217943, id="BIS3_Invoice_negativ"),
    ],
)
def test_tax_of_each_rate_comes_to_the_printed_totals(
    breakdown: list[tuple[int, str]], net: int, tax: int, total: int
) -> None:
    assert sum(amount for amount, _ in breakdown) == net
    assert sum(vat(amount, percent) for amount, percent in breakdown) == tax
    assert net + tax == total


# Refusals


def test_every_refusal_has_a_vector_but_that_of_too_many_lines_and_that_of_invoices() -> None:
    vectors = json.loads((PRICING / "refusals.json").read_text())["vectors"]
    shown = {code for vector in vectors for _, code in vector["expect"]["refused"]}
    assert set(REFUSALS) - shown == {"lines_too_many", "billed_quantity_out_of_range"}


def test_more_lines_than_a_quote_holds(book: ShopPrices, lines: list[QuoteLine]) -> None:
    labor = next(line for line in lines if line.kind == "labor")
    many = [labor.model_copy(update={"id": UUID(int=at)}) for at in range(201)]
    assert check_lines(book, many[:200]) == []
    (refusal,) = check_lines(book, many)
    assert (refusal.field, refusal.code) == ("lines", "lines_too_many")
    assert render(refusal.reason) == "A quote holds at most 200 lines. Make a second quote for the rest."


def test_totals_of_a_line_without_a_price_is_a_programming_error(book: ShopPrices, lines: list[QuoteLine]) -> None:
    bare = lines[1].model_copy(update={"hours": None})
    with pytest.raises(ValueError, match="check_lines comes before compute_totals"):
        compute_totals(book, [bare])


def test_compute_totals_takes_a_basis_of_one_tax_profile(book: ShopPrices, lines: list[QuoteLine]) -> None:
    with pytest.raises(ValueError, match="unpack"):
        compute_totals(book.model_copy(update={"tax_profiles": book.tax_profiles * 2}), lines)


# The offer


def test_offer_has_its_canonical_form(offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine]) -> None:
    document = shown(offer, book, lines)
    assert rfc8785.dumps(document).decode() == offer["canonical"]
    assert json_digest(document) == offer["sha256"] == hashlib.sha256(offer["canonical"].encode()).hexdigest()


@pytest.mark.parametrize("form", ["sha256", "sha256_before_rfc8785"])
def test_an_offer_is_verified_in_the_form_of_today_and_in_that_of_older_apps(
    offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine], form: str
) -> None:
    document = shown(offer, book, lines)
    assert is_digest_of_offer(document, offer[form])
    assert all(not is_digest_of_offer(document | {key: "other"}, offer[form]) for key in document)


def test_offer_is_the_same_where_costs_are_hidden(
    offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine]
) -> None:
    units = {line.id: line.unit_minor for line in compute_totals(book, lines).lines}
    hidden = [
        line.model_copy(update={"unit_cost_minor": None, "unit_price_minor": units[line.id]})
        if line.kind == "part"
        else line
        for line in reversed(lines)
    ]
    bare = book.model_copy(update={"part_bands": ()})
    assert check_book(bare) == []
    assert json_digest(shown(offer, bare, hidden)) == offer["sha256"]


@pytest.mark.parametrize(
    "change",
    [
        {"revision": 3},
        {"customer_name": "Ada O'Hara"},
        {"valid_until": date(2026, 12, 26)},
        {"discount": Discount()},
        {"exempt": True},
    ],
)
def test_offer_with_anything_else_shown_has_another_digest(
    offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine], change: dict[str, Any]
) -> None:
    changed = shown(offer, book, lines, **change)
    assert not any(is_digest_of_offer(changed, offer[form]) for form in ("sha256", "sha256_before_rfc8785"))


@pytest.mark.parametrize("change", [{"found": "A crack"}, {"later_minor": 0}])
def test_what_was_found_and_the_price_later_are_part_of_what_is_signed(
    offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine], change: dict[str, Any]
) -> None:
    changed = [lines[0].model_copy(update=change), *lines[1:]]
    document = shown(offer, book, changed)
    assert not any(is_digest_of_offer(document, offer[form]) for form in ("sha256", "sha256_before_rfc8785"))


def shown(offer: dict[str, Any], book: ShopPrices, lines: list[QuoteLine], **change: object) -> dict[str, Any]:
    heading = offer["heading"] | {
        "quote_id": UUID(offer["heading"]["quote_id"]),
        "valid_until": date.fromisoformat(offer["heading"]["valid_until"]),
        "discount": parse(Discount, offer["discount"]),
        "exempt": offer["exempt"],
    }
    return offer_document(book=book, lines=lines, **heading | change)
