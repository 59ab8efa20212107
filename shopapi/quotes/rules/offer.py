"""The exact text and amounts that a customer is shown, as bytes to hash.

An approval binds to the SHA-256 of these bytes, so phone and server must make the same ones.
Twin: `pwa/src/domain/quotes/offer.ts`.
"""

import hashlib
import json
import re
import unicodedata
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from shopapi.core.money import plain_decimal
from shopapi.quotes.rules.later import later_total
from shopapi.quotes.rules.lines import Discount, QuoteLine
from shopapi.quotes.rules.price_book import PriceBook
from shopapi.quotes.rules.schemas import QuoteKind
from shopapi.quotes.rules.taxes import TaxRow
from shopapi.quotes.rules.totals import LineTotals, compute_totals, in_order, is_diagnosis_fee
from shopapi.quotes.rules.wording import ADDED, IN_PART

FORMAT = "drawbar-offer-{rules_version}"
"""What an offer says it is: with the version of the calculation rules that its amounts follow."""

MOST_EXACT = 2**53 - 1
_UNSTORABLE = re.compile("[\x00\ud800-\udfff]")


class NotCanonical(ValueError):
    """Something that has no one spelling in canonical JSON; `path` says where, in dots."""

    def __init__(self, path: str, code: str) -> None:
        super().__init__(f"{path or 'document'}: {code}")
        self.path = path
        self.code = code


def offer_document(
    *,
    quote_id: UUID,
    revision: int,
    kind: QuoteKind,
    shop_name: str,
    customer_name: str,
    machine: str,
    book: PriceBook,
    lines: Sequence[QuoteLine],
    discount: Discount | None,
    exempt: bool,
    valid_until: date,
) -> dict[str, Any]:
    """Everything a customer is shown before deciding, with all lines counted, as plain JSON values.

    Screens and paper show these texts and amounts and no others. `machine` is the machine as the
    customer reads it. Amounts are minor units. `quantity` is plain text ("1.5") and `unit` is "h", "each",
    "mi" or "km", both empty where the line has a price for the whole; `unit_minor` is the price of one,
    null where it does not make the amount by itself (free distance, minimum). `found` and `later_minor` of a line and
    `later_total_minor`, all lines done later, are there only where they say something; so is `in_part`, what becomes
    of a fixed discount where only some of the lines are accepted.
    """
    totals = compute_totals(book, lines, discount=discount, exempt=exempt)
    (profile,) = book.tax_profiles
    later = later_total(book, lines, discount=discount, exempt=exempt)
    return {
        "format": FORMAT.format(rules_version=book.rules_version),
        "quote_id": str(quote_id),
        "revision": revision,
        "kind": kind,
        "shop": shop_name,
        "customer": customer_name,
        "machine": machine,
        "currency": book.currency,
        "minor_digits": book.minor_digits,
        "prices_hold_tax": profile.inclusive,
        "exempt": exempt,
        "lines": [_offer_line(book, line, price) for line, price in zip(in_order(lines), totals.lines, strict=True)],
        "added": [{"key": row.key, "words": ADDED[row.key], "amount_minor": row.amount_minor} for row in totals.added],
        "by_rank": totals.by_rank.model_dump(),
        "subtotal_minor": totals.subtotal_minor,
        "net_minor": totals.net_minor,
        "tax": [_offer_tax(row) for row in totals.tax],
        "tax_minor": totals.tax_minor,
        "total_minor": totals.total_minor,
        **({} if later is None else {"later_total_minor": later}),
        **({"in_part": IN_PART} if _is_shared(book, lines, discount) else {}),
        "deposit_minor": totals.deposit_minor,
        "terms": book.terms,
        "valid_until": valid_until.isoformat(),
    }


def _offer_line(book: PriceBook, line: QuoteLine, price: LineTotals) -> dict[str, Any]:
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
    }


def _offer_tax(row: TaxRow) -> dict[str, Any]:
    return {
        "label": row.label,
        "percent": plain_decimal(row.percent),
        "base_minor": row.base_minor,
        "tax_minor": row.tax_minor,
    }


def _is_shared(book: PriceBook, lines: Sequence[QuoteLine], discount: Discount | None) -> bool:
    """Whether a fixed discount is granted in part where a part is accepted."""
    fixed = [line.discount_minor for line in lines if line.kind == "discount"]
    return book.rules_version > 1 and any([*fixed, discount and discount.minor])


def _counted(book: PriceBook, line: QuoteLine) -> dict[str, str]:
    """How much of what a line is for, both texts empty where it has a price for the whole."""
    by_zone = line.kind == "travel" and book.travel.mode == "zone"
    by_book = is_diagnosis_fee(line) and line.unit_price_minor is None
    if line.fixed_minor is not None or by_zone or by_book or line.kind == "discount":
        return {"quantity": "", "unit": ""}
    quantity, unit = {
        "labor": (line.hours, "h"),
        "travel": (line.distance, book.travel.unit),
    }.get(line.kind, (line.quantity, "each"))
    return {"quantity": plain_decimal(Decimal(1) if quantity is None else quantity), "unit": unit}


def canonical(document: Any) -> bytes:
    r"""The one spelling of a JSON value, as UTF-8.

    Objects with ASCII keys in order, arrays, strings in Unicode form NFC, whole numbers of at most
    2**53 - 1, booleans, null; no white space; in strings only ", \ and the characters below U+0020
    are escaped, as RFC 8785 does. Raises NotCanonical for floats and other types, for NUL and for
    halves of surrogate pairs.
    """
    text = json.dumps(_checked(document, ""), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return text.encode()


def _checked(value: Any, path: str) -> Any:
    match value:
        case None | bool():
            return value
        case int():
            if abs(value) > MOST_EXACT:
                raise NotCanonical(path, "number_too_large")
            return value
        case str():
            if _UNSTORABLE.search(value):
                raise NotCanonical(path, "unstorable_text")
            return unicodedata.normalize("NFC", value)
        case list() | tuple():
            return [_checked(item, _below(path, at)) for at, item in enumerate(value)]
        case dict():
            for key in value:
                if not isinstance(key, str) or not key.isascii():
                    raise NotCanonical(path, "key_not_ascii")
            return {key: _checked(item, _below(path, key)) for key, item in value.items()}
    raise NotCanonical(path, "not_json")


def _below(path: str, name: str | int) -> str:
    return f"{path}.{name}" if path else str(name)


def digest(canonical_bytes: bytes) -> str:
    """SHA-256 of the canonical bytes, 64 small hexadecimal digits."""
    return hashlib.sha256(canonical_bytes).hexdigest()
