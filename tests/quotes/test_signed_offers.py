"""Offers shown before the calculation rules and the form that is hashed changed: digests and amounts stay.

`fixtures/pricing/signed.json` was written by the rules of that time; the phone's twin runs it as well
(`pwa/src/domain/quotes/signed.test.ts`).
"""

import json
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.schema import parse
from shopapi.quotes.rules import Discount, QuoteLine, ShopPrices, compute_totals, is_digest_of_offer, offer_document

SIGNED = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "signed.json").read_text())


@pytest.mark.parametrize("offer", SIGNED["offers"])
def test_an_offer_signed_before_keeps_its_digest_and_its_amounts(offer: dict[str, Any]) -> None:
    basis = parse(ShopPrices, offer["basis"])
    lines = [parse(QuoteLine, line) for line in offer["lines"]]
    terms = {"discount": parse(Discount, offer["discount"] or {}), "exempt": offer["exempt"]}
    heading = offer["heading"] | {
        "quote_id": UUID(offer["heading"]["quote_id"]),
        "valid_until": date.fromisoformat(offer["heading"]["valid_until"]),
    }
    document = offer_document(book=basis, lines=lines, **terms, **heading)
    decided = compute_totals(basis, lines, accepted={UUID(one) for one in offer["accepted"]}, **terms)
    expected = dict(offer["expect"])
    signed: str = expected.pop("sha256")
    assert is_digest_of_offer(document, signed)
    assert not is_digest_of_offer(document | {"total_minor": document["total_minor"] - 1}, signed)
    assert {
        "total": document["total_minor"],
        "tax": [[row.key, row.tax_minor] for row in decided.tax],
        "decided_net": decided.net_minor,
        "decided_total": decided.total_minor,
        "added": [[row.key, row.amount_minor] for row in decided.added],
    } == expected


def test_the_signed_offers_hold_what_has_changed_since() -> None:
    """Among them are discounts that took everything, and taxes of several rates: what the new rules do otherwise."""
    offers = SIGNED["offers"]
    assert sum(offer["expect"]["decided_total"] == 0 < offer["expect"]["total"] for offer in offers) >= 5
    assert sum(len(offer["basis"]["tax_profiles"][0]["rates"]) > 1 for offer in offers) >= 20
