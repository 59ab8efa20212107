"""Reads amounts of money as people and programs write them into tables. Pure."""

import re
import unicodedata
from collections.abc import Iterable
from fractions import Fraction
from typing import Literal

from typing_extensions import TypeAliasType

from shopapi.core.money import round_half

# The decimal mark; empty: none was needed, or nobody knows it yet.
DecimalMark = TypeAliasType("DecimalMark", Literal["", ".", ","])

MARKS = (".", ",")
MOST_MINOR = 10**11
# Marks that only ever stand between thousands: blanks of any width, apostrophes.
_THOUSANDS = re.compile("(?<=[0-9])[ \u00a0\u2009\u202f'\u2019](?=[0-9]{3})")
_PLAIN = re.compile(r"[0-9]+|[0-9]*[.,][0-9]+|[0-9]{1,3}(?:[.,][0-9]{3})+(?:[.,][0-9]+)?")
_CODE = re.compile(r"^([A-Z]{3})?\s*(.*?)\s*([A-Z]{3})?$", re.DOTALL)


def bare_amount(text: str) -> tuple[str, str]:
    """An amount without what says its currency, and the currency's code if that is what stood there.

    >>> bare_amount("$ 1,234.50"), bare_amount("12,50 EUR"), bare_amount("1 234.5")
    (('1,234.50', ''), ('12,50', 'EUR'), ('1234.5', ''))
    """
    without = "".join(letter for letter in text if unicodedata.category(letter) != "Sc").strip()
    found = _CODE.match(without)
    before, figures, after = found.groups() if found else ("", without, "")
    return _THOUSANDS.sub("", figures), before or after or ""


def mark_spoken_for(figures: str, digits: int) -> str:
    """The decimal mark that an amount can only have been written with; empty where it may be either.

    `digits`: how many decimal digits the currency has. Without any, three digits after one mark are thousands.

    >>> [mark_spoken_for(text, 2) for text in ("1,234.50", "12,5", "1.234.567", "1,234", "0.125", "90")]
    ['.', ',', ',', '', '.', '']
    """
    marks = [letter for letter in figures if letter in MARKS]
    if not marks:
        return ""
    other = {".": ",", ",": "."}
    if len(set(marks)) == 2:
        return marks[-1]
    if len(marks) > 1:
        return other[marks[0]]
    whole, part = re.split("[.,]", figures)
    if len(part) != 3 or len(whole) > 3 or whole in ("", "0"):
        return marks[0]
    return other[marks[0]] if digits == 0 else ""


def decimal_mark(amounts: Iterable[str], digits: int) -> DecimalMark:
    """The decimal mark of a column, by those of its amounts that speak for one; empty where none does."""
    votes = [mark_spoken_for(bare_amount(text)[0], digits) for text in amounts]
    points, commas = votes.count("."), votes.count(",")
    if not points and not commas:
        return ""
    return "." if points >= commas else ","


def read_amount(text: str, *, mark: str, digits: int) -> int | str:
    """An amount in minor units, rounded to the nearest, half up; or the code of why it is none.

    `mark`: the decimal mark of the file; empty where nobody knows it yet.

    >>> read_amount("$1,234.505", mark=".", digits=2), read_amount("1.234", mark=",", digits=2)
    (123451, 123400)
    >>> read_amount("1,234", mark="", digits=2), read_amount("-4", mark=".", digits=2)
    ('amount_ambiguous', 'amount_below_zero')
    """
    figures, _ = bare_amount(text)
    if re.match(r"[-\u2212]\s*[0-9]|\([0-9.,]+\)$", figures):
        return "amount_below_zero"
    if not _PLAIN.fullmatch(figures):
        return "not_an_amount"
    if not mark and any(letter in MARKS for letter in figures):
        mark = mark_spoken_for(figures, digits)
        if not mark:
            return "amount_ambiguous"
    mark = mark or "."
    thousands = "," if mark == "." else "."
    whole, _, part = figures.partition(mark)
    if thousands in part or mark in part or not _grouped(whole, thousands):
        return "not_an_amount"
    minor = round_half(Fraction(f"{whole.replace(thousands, '') or '0'}.{part or '0'}") * 10**digits, "half_up")
    return minor if minor <= MOST_MINOR else "amount_too_large"


def _grouped(whole: str, thousands: str) -> bool:
    """Whether the marks of thousands of a whole number, if it has any, stand where they belong."""
    first, *rest = whole.split(thousands)
    return not rest or (1 <= len(first) <= 3 and all(len(group) == 3 for group in rest))
