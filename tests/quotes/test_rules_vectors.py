"""The vectors of `fixtures/pricing`, which the phone's twin runs as well (`vectors.test.ts`)."""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.errors import Invalid
from shopapi.core.money import round_half
from shopapi.core.schema import parse
from shopapi.quotes.rules import (
    Discount,
    QuoteLine,
    QuoteTotals,
    ShopPrices,
    check_book,
    check_lines,
    compute_totals,
    later_total,
)

PRICING = Path(__file__).parents[2] / "fixtures" / "pricing"


def vectors(name: str) -> list[Any]:
    file = json.loads((PRICING / name).read_text())
    return [
        pytest.param(file.get("basis"), vector, id=vector.get("name", str(at)))
        for at, vector in enumerate(file["vectors"])
    ]


def line_id(number: int) -> str:
    return f"00000000-0000-7000-8000-{number:012}"


def quote_of(basis: dict[str, Any], vector: dict[str, Any]) -> dict[str, Any]:
    """The vector's quote as it would travel, what it leaves out filled in."""
    book = basis | vector.get("basis", {})
    if "tax" in vector:
        book["tax_profiles"] = [book["tax_profiles"][0] | vector["tax"]]
    lines = [
        {"id": line_id(at), "position": at, "rank": "needed", "words": f"Line {at}"} | line
        for at, line in enumerate(vector["lines"], 1)
    ]
    accepted = vector.get("accepted")
    return {
        "book": book,
        "lines": lines,
        "accepted": None if accepted is None else {UUID(line_id(number)) for number in accepted},
        "discount": vector.get("discount"),
    }


def refusals_of(quote: dict[str, Any], currency: str | None) -> list[tuple[str, str]]:
    """Fields and codes: of the schemas, else of the book, else of the lines."""
    faults = []
    schemas: dict[str, tuple[type[Any], Any]] = {"": (ShopPrices, quote["book"])}
    schemas |= {f"lines.{at}.": (QuoteLine, line) for at, line in enumerate(quote["lines"])}
    schemas["discount."] = (Discount, quote["discount"] or {})
    decoded = {}
    for path, (schema, payload) in schemas.items():
        try:
            decoded[path] = parse(schema, payload)
        except Invalid as refused:
            faults += [(path + fault.field, fault.code) for fault in refused.fields]
    if faults:
        return sorted(faults)
    book, *lines, discount = decoded.values()
    found = check_book(book) or check_lines(
        book, lines, accepted=quote["accepted"], discount=discount, currency=currency
    )
    return [(fault.field, fault.code) for fault in found]


def outcome(totals: QuoteTotals) -> dict[str, Any]:
    """The totals in the words of the vectors."""
    return {
        "amounts": [line.amount_minor for line in totals.lines],
        "line_taxes": [line.tax_minor for line in totals.lines if line.tax_minor is not None],
        "added": [[row.key, row.amount_minor] for row in totals.added],
        "by_rank": list(totals.by_rank.model_dump().values()),
        "net": totals.net_minor,
        "tax": [[row.key, row.base_minor, row.tax_minor] for row in totals.tax],
        "tax_minor": totals.tax_minor,
        "total": totals.total_minor,
        "deposit": totals.deposit_minor,
        "owed_after_deposit": totals.owed_after_deposit_minor,
    }


@pytest.mark.parametrize(("basis", "vector"), [*vectors("outside.json"), *vectors("lines.json"), *vectors("sums.json")])
def test_compute_totals_gives_the_figures_of_the_vector(basis: dict[str, Any], vector: dict[str, Any]) -> None:
    quote = quote_of(basis, vector)
    assert refusals_of(quote, None) == []
    totals = compute_totals(
        parse(ShopPrices, quote["book"]),
        [parse(QuoteLine, line) for line in quote["lines"]],
        accepted=quote["accepted"],
        discount=parse(Discount, quote["discount"] or {}),
        exempt=vector.get("exempt", False),
    )
    expect = {"line_taxes": [], "added": [], "deposit": 0} | vector["expect"]
    expect["tax_minor"] = sum(tax for _, _, tax in expect["tax"])
    expect["owed_after_deposit"] = expect["total"] - expect["deposit"]
    expect.setdefault("by_rank", [0, sum(expect["amounts"]), 0] if not quote["accepted"] else None)
    found = outcome(totals)
    if expect["by_rank"] is None:
        del expect["by_rank"], found["by_rank"]
    assert found == expect


@pytest.mark.parametrize(("basis", "vector"), vectors("later.json"))
def test_the_same_work_done_later(basis: dict[str, Any], vector: dict[str, Any]) -> None:
    quote = quote_of(basis, vector)
    assert refusals_of(quote, None) == []
    total = later_total(
        parse(ShopPrices, quote["book"]),
        [parse(QuoteLine, line) for line in quote["lines"]],
        accepted=quote["accepted"],
        discount=parse(Discount, quote["discount"] or {}),
        exempt=vector.get("exempt", False),
    )
    assert total == vector["expect"]


@pytest.mark.parametrize(("basis", "vector"), vectors("refusals.json"))
def test_refused_with_field_and_code(basis: dict[str, Any], vector: dict[str, Any]) -> None:
    refused = refusals_of(quote_of(basis, vector), vector.get("currency"))
    assert [list(pair) for pair in refused] == vector["expect"]["refused"]


@pytest.mark.parametrize(("basis", "vector"), vectors("rounding.json"))
def test_round_half_gives_the_figure_of_the_vector(basis: None, vector: dict[str, Any]) -> None:
    exact = Fraction(Decimal(vector["exact"]))
    assert basis is None
    assert round_half(exact, vector["rounding"]) == vector["expect"]
