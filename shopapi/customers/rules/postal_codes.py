"""Where a postal code is, about: found in an address, looked up in the table of `fixtures/postal_codes`.

A code counts only beside its state ("ID 83843"): five digits alone may be a house number, or a code of another country.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

# "ID 83843", "ID, 83843-1234"; the last one of an address is its code.
CODE = re.compile(r"\b([A-Z]{2})[\s,.]+(\d{5})(?:-\d{4})?\b", re.IGNORECASE)
STATES = {
    "Alabama": "AL", "Alaska": "AK", "Arizona": "AZ", "Arkansas": "AR", "California": "CA", "Colorado": "CO",
    "Connecticut": "CT", "Delaware": "DE", "District of Columbia": "DC", "Florida": "FL", "Georgia": "GA",
    "Hawaii": "HI", "Idaho": "ID", "Illinois": "IL", "Indiana": "IN", "Iowa": "IA", "Kansas": "KS", "Kentucky": "KY",
    "Louisiana": "LA", "Maine": "ME", "Maryland": "MD", "Massachusetts": "MA", "Michigan": "MI", "Minnesota": "MN",
    "Mississippi": "MS", "Missouri": "MO", "Montana": "MT", "Nebraska": "NE", "Nevada": "NV", "New Hampshire": "NH",
    "New Jersey": "NJ", "New Mexico": "NM", "New York": "NY", "North Carolina": "NC", "North Dakota": "ND",
    "Ohio": "OH", "Oklahoma": "OK", "Oregon": "OR", "Pennsylvania": "PA", "Puerto Rico": "PR", "Rhode Island": "RI",
    "South Carolina": "SC", "South Dakota": "SD", "Tennessee": "TN", "Texas": "TX", "Utah": "UT", "Vermont": "VT",
    "Virginia": "VA", "Washington": "WA", "West Virginia": "WV", "Wisconsin": "WI", "Wyoming": "WY",
}  # fmt: skip
# Longest first: "West Virginia" before "Virginia".
STATE_NAME = re.compile(rf"\b({'|'.join(sorted(STATES, key=len, reverse=True))})(?=[\s,.]+\d{{5}})", re.IGNORECASE)
ABBREVIATIONS = {name.lower(): state for name, state in STATES.items()}


@dataclass(frozen=True)
class PostalArea:
    """The middle of a postal code's area (degrees, WGS 84), and how far from there a place of it may be."""

    lat: Decimal
    lon: Decimal
    within_m: int


def postal_code_in(address: str) -> tuple[str, str] | None:
    r"""State and postal code of an address in the United States; None where it names none.

    >>> postal_code_in("12345 Alder Row\nMoscow, Idaho 83843-2210")
    ('ID', '83843')
    """
    found = CODE.findall(STATE_NAME.sub(lambda name: ABBREVIATIONS[name[0].lower()], address))
    return (found[-1][0].upper(), found[-1][1]) if found else None


def postal_area(table: str, address: str) -> PostalArea | None:
    """The area of an address by its postal code; None where it names none, or one that is not in its state.

    `table`: lines of code, state, latitude, longitude and whole kilometres.
    """
    named = postal_code_in(address)
    if named is None:
        return None
    state, code = named
    line = re.search(rf"^{code},{state},([^,]+),([^,]+),(\d+)$", table, re.MULTILINE)
    return None if line is None else PostalArea(Decimal(line[1]), Decimal(line[2]), 1000 * int(line[3]))
