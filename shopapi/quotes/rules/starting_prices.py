"""The initial prices of a new shop."""

from collections.abc import Mapping
from typing import Any

from shopapi.core.money import minor_digits
from shopapi.core.schema import parse, to_json
from shopapi.quotes.rules.price_book import ShopPrices

STARTING_PRICES: Mapping[str, Any] = {
    "rounding": "half_up",
    "labor_rates": [{"key": "standard", "label": "Standard", "minor_per_hour": 9000, "member_id": None, "work": None}],
    "labor_minimum_minor": 0,
    "diagnosis_fee_minor": 0,
    "credit_diagnosis": True,
    "part_bands": [{"up_to_minor": None, "markup_percent": "40"}],
    "supplies": {"percent": "0", "of": ["labor"], "floor_minor": 0, "cap_minor": None},
    "travel": {
        "mode": "distance",
        "minor_per_unit": 0,
        "unit": "mi",
        "free_units": "0",
        "minimum_minor": 0,
        "zones": [],
    },
    "deposit": {"percent": "0", "of": "parts", "from_total_minor": 0, "rounding_to_minor": 1},
    "tolerance_percent": "0",
    "terms": "",
    "valid_days": 30,
    "tax_profiles": [
        {
            "key": "none",
            "label": "No tax entered yet",
            "from_on": "2020-01-01",
            "until_on": None,
            "inclusive": False,
            "per": "invoice",
            "rounding": "half_up",
            "rates": [],
            "rates_rounded": "each",
            "labor": "always",
            "part": True,
            "supplies": True,
            "travel": True,
            "fee": True,
            "lumped": False,
        }
    ],
}


def starting_prices(currency: str) -> dict[str, Any]:
    """The initial prices of a new shop as stored JSON, for the owner to change.

    The standard rate is 9,000 minor units of any currency: 90.00 dollars, 9,000 yen, 9.000 dinar.
    """
    given = {"currency": currency, "minor_digits": minor_digits(currency), **STARTING_PRICES}
    prices: dict[str, Any] = to_json(parse(ShopPrices, given))
    return prices
