"""Pure rules of quotes: prices, totals, offers, decisions. Twin: `pwa/src/domain/quotes`."""

from shopapi.quotes.rules.canonical_json import json_digest, json_digest_before_rfc8785
from shopapi.quotes.rules.checks import check_book, check_lines
from shopapi.quotes.rules.later import later_total
from shopapi.quotes.rules.lines import RANKS, Discount, LineKind, QuoteLine
from shopapi.quotes.rules.offer import is_digest_of_offer, offer_document
from shopapi.quotes.rules.price_book import ShopPrices, TaxProfile, basis_on, profile_on
from shopapi.quotes.rules.states import QUOTE_TRANSITIONS, QuoteState, may_become
from shopapi.quotes.rules.totals import QuoteTotals, compute_totals

__all__ = [
    "QUOTE_TRANSITIONS",
    "RANKS",
    "Discount",
    "LineKind",
    "QuoteLine",
    "QuoteState",
    "QuoteTotals",
    "ShopPrices",
    "TaxProfile",
    "basis_on",
    "check_book",
    "check_lines",
    "compute_totals",
    "is_digest_of_offer",
    "json_digest",
    "json_digest_before_rfc8785",
    "later_total",
    "may_become",
    "offer_document",
    "profile_on",
]
