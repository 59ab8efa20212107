"""XML by prefixed names. The root declares the prefixes; empty texts and empty branches are left out."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from xml.etree.ElementTree import Element, tostring

from shopapi.core.money import plain_decimal

# What XML 1.0 cannot hold (section 2.2, Char).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def leaf(tag: str, text: str, **attributes: str) -> Element | None:
    """An element with a text; None without one."""
    clean = _NOT_XML.sub("", text).strip()
    if not clean:
        return None
    found = Element(tag, attributes)
    found.text = clean
    return found


def branch(tag: str, *children: Element | None) -> Element | None:
    """An element with those of its children that there are; None with none of them."""
    kept = [child for child in children if child is not None]
    if not kept:
        return None
    found = Element(tag)
    found.extend(kept)
    return found


def root(tag: str, prefixes: Mapping[str, str], *children: Element | None) -> bytes:
    """A whole document in UTF-8."""
    found = Element(tag, {f"xmlns:{prefix}" if prefix else "xmlns": uri for prefix, uri in prefixes.items()})
    found.extend(child for child in children if child is not None)
    written: bytes = tostring(found, encoding="utf-8", xml_declaration=True)
    return written


def number(exact: Decimal) -> str:
    """A quantity, price or rate without needless zeros."""
    return plain_decimal(exact)


def amount(exact: Decimal, digits: int) -> str:
    """An amount with so many decimal digits; nothing is not below zero. Raises ValueError where it has more."""
    written = f"{exact + 0:.{digits}f}"
    if Decimal(written) != exact:
        raise ValueError(f"{exact} has more than {digits} decimal digits")
    return written


def compact_day(day: date) -> str:
    """A day as UN/CEFACT format 102."""
    return day.strftime("%Y%m%d")
