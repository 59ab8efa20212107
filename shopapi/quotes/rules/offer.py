"""The exact text and amounts shown to a customer, as a document to hash.

An approval refers to its digest (`canonical_json`), so phone and server must make the same document.
Twin: `pwa/src/domain/quotes/offer.ts`.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from shopapi.core.languages import ENGLISH, Language
from shopapi.core.money import plain_decimal
from shopapi.quotes.rules.canonical_json import json_digest, json_digest_before_rfc8785, normalize_texts
from shopapi.quotes.rules.later import later_total
from shopapi.quotes.rules.lines import Discount, QuoteLine, is_asked
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.schemas import QuoteKind
from shopapi.quotes.rules.taxes import TaxRow
from shopapi.quotes.rules.texts import TEXTS
from shopapi.quotes.rules.totals import LineTotals, QuoteTotals, compute_totals, in_order, is_diagnosis_fee

CANONICAL_FORM = "-rfc8785"
FORMAT = "drawbar-offer-{rules_version}" + CANONICAL_FORM
"""The `format` of an offer: the version of the calculation rules of its amounts, and the canonical form that is hashed.

Offers made before RFC 8785 was used name no canonical form.
"""


def offer_document(
    *,
    quote_id: UUID,
    revision: int,
    kind: QuoteKind,
    shop_name: str,
    customer_name: str,
    machine: str,
    book: ShopPrices,
    lines: Sequence[QuoteLine],
    discount: Discount | None,
    exempt: bool,
    valid_until: date,
    language: Language = ENGLISH,
) -> dict[str, Any]:
    """Everything a customer is shown before deciding, with all lines counted, as plain JSON values.

    Screens and PDFs show these texts and amounts and no others. `machine` is the machine as the
    customer reads it. Amounts are minor units. `quantity` is plain text ("1.5") and `unit` is "h", "each",
    "mi" or "km", both empty where the line has a price for the whole; `unit_minor` is the price of one,
    null where it does not make the amount by itself (free distance, minimum). `found` and `later_minor` of a line and
    `later_total_minor`, all lines done later, are there only where they say something; so are `belongs_to` (the id of
    the line with which a line is one question), `apart` (a question of its own all the same), `agreed` (not asked,
    always counts), `agreed_total_minor` (what no to everything comes to), `credited` (how a credited diagnosis fee is
    taxed) and `in_part`, what becomes of a fixed discount where only some of the lines are accepted. `language` is that
    of the texts which are ours; English is not named, as before there was another one.
    """
    totals = compute_totals(book, lines, discount=discount, exempt=exempt)
    (profile,) = book.tax_profiles
    later = later_total(book, lines, discount=discount, exempt=exempt)
    texts = TEXTS[language]
    return {
        "format": FORMAT.format(rules_version=book.rules_version),
        "quote_id": str(quote_id),
        "revision": revision,
        "kind": kind,
        **({} if language == ENGLISH else {"language": language}),
        "shop": shop_name,
        "customer": customer_name,
        "machine": machine,
        "currency": book.currency,
        "minor_digits": book.minor_digits,
        "prices_hold_tax": profile.inclusive,
        "exempt": exempt,
        "lines": _offer_lines(book, lines, totals),
        "added": [
            {"key": row.key, "words": texts[f"added_{row.key}"], "amount_minor": row.amount_minor}
            for row in totals.added
        ],
        "by_rank": totals.by_rank.model_dump(),
        "subtotal_minor": totals.subtotal_minor,
        "net_minor": totals.net_minor,
        "tax": [_offer_tax(row) for row in totals.tax],
        "tax_minor": totals.tax_minor,
        "total_minor": totals.total_minor,
        **({} if later is None else {"later_total_minor": later}),
        **_agreed_total(book, lines, discount, exempt=exempt),
        **({"credited": texts["credited"]} if _is_credited_untaxed(book, totals) else {}),
        **({"in_part": texts[_in_part(book)]} if _has_fixed_discount(book, lines, discount) else {}),
        "deposit_minor": totals.deposit_minor,
        "terms": book.terms,
        "valid_until": valid_until.isoformat(),
    }


def offer_lines(
    book: ShopPrices, lines: Sequence[QuoteLine], *, discount: Discount | None, exempt: bool
) -> list[dict[str, Any]]:
    """The lines of an offer document by themselves."""
    return _offer_lines(book, lines, compute_totals(book, lines, discount=discount, exempt=exempt))


def _offer_lines(book: ShopPrices, lines: Sequence[QuoteLine], totals: QuoteTotals) -> list[dict[str, Any]]:
    return [_offer_line(book, line, price) for line, price in zip(in_order(lines), totals.lines, strict=True)]


def _offer_line(book: ShopPrices, line: QuoteLine, price: LineTotals) -> dict[str, Any]:
    return {
        "id": str(line.id),
        "kind": line.kind,
        "rank": line.rank,
        "words": line.words,
        "included": line.included,
        **_counted(book, line),
        "unit_minor": price.unit_minor,
        "discount_minor": price.discount_minor,
        "core_minor": price.core_minor,
        "amount_minor": price.amount_minor,
        **({"found": line.found} if line.found else {}),
        **({} if line.later_minor is None else {"later_minor": line.later_minor}),
        **({} if line.belongs_to_id is None else {"belongs_to": str(line.belongs_to_id)}),
        **({"apart": True} if line.apart else {}),
        **({"agreed": True} if line.agreed else {}),
    }


def _agreed_total(
    book: ShopPrices, lines: Sequence[QuoteLine], discount: Discount | None, *, exempt: bool
) -> dict[str, int]:
    if not any(line.agreed for line in lines):
        return {}
    counted = {line.id for line in lines if not is_asked(line)}
    totals = compute_totals(book, lines, accepted=counted, discount=discount, exempt=exempt)
    return {"agreed_total_minor": totals.total_minor}


def _is_credited_untaxed(book: ShopPrices, totals: QuoteTotals) -> bool:
    return book.rules_version > 2 and any(row.key == "diagnosis_credit" for row in totals.added)


def _offer_tax(row: TaxRow) -> dict[str, Any]:
    return {
        "label": row.label,
        "percent": plain_decimal(row.percent),
        "base_minor": row.base_minor,
        "tax_minor": row.tax_minor,
    }


def _in_part(book: ShopPrices) -> str:
    return "in_part" if book.fixed_discount == "shared" else "in_part_full"


def _has_fixed_discount(book: ShopPrices, lines: Sequence[QuoteLine], discount: Discount | None) -> bool:
    """Whether it is said what becomes of a fixed discount where only a part is accepted."""
    fixed = [line.discount_minor for line in lines if line.kind == "discount"]
    return book.rules_version > 1 and any([*fixed, discount and discount.minor])


def _counted(book: ShopPrices, line: QuoteLine) -> dict[str, str]:
    """Quantity and unit of a line as texts; both are empty where it has a price for the whole."""
    by_zone = line.kind == "travel" and book.travel.mode == "zone"
    by_book = is_diagnosis_fee(line) and line.unit_price_minor is None
    if line.fixed_minor is not None or by_zone or by_book or line.kind == "discount":
        return {"quantity": "", "unit": ""}
    quantity, unit = {
        "labor": (line.hours, "h"),
        "travel": (line.distance, book.travel.unit),
    }.get(line.kind, (line.quantity, "each"))
    return {"quantity": plain_decimal(Decimal(1) if quantity is None else quantity), "unit": unit}


def digested_form(document: dict[str, Any], digest: str) -> dict[str, Any]:
    """The form of an offer document that has this digest: the present one, or that of older apps."""
    before: dict[str, Any] = normalize_texts(document | {"format": document["format"].removesuffix(CANONICAL_FORM)})
    return before if digest == json_digest(before) else document


def is_digest_of_offer(document: dict[str, Any], digest: str) -> bool:
    """Whether a digest is that of an offer document, in the present form or that of older apps."""
    before = document | {"format": document["format"].removesuffix(CANONICAL_FORM)}
    return digest in (json_digest(document), json_digest_before_rfc8785(before))
