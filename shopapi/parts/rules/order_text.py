"""An order as text for a mail or message. Twin: `pwa/src/domain/parts/orderText.ts`.

Both run `fixtures/parts/order_texts.json`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shopapi.core.money import plain_decimal


@dataclass(frozen=True)
class TextLine:
    """A line of an order as it is written to the supplier."""

    quantity: Decimal
    number: str
    description: str


def line_text(line: TextLine) -> str:
    """One line.

    >>> line_text(TextLine(Decimal("2.0"), "BX-41", "Deck belt"))
    '2 x BX-41, Deck belt'
    """
    named = ", ".join(part for part in (line.number, line.description) if part)
    return f"{plain_decimal(line.quantity)} x {named}"


def lines_text(lines: Iterable[TextLine], *, customer_number: str = "", note: str = "") -> str:
    """What is ordered, a line each, then the shop's number at the supplier and the note, where there are any."""
    parts = ["\n".join(line_text(line) for line in lines)]
    if customer_number:
        parts.append(f"Our customer number: {customer_number}")
    if note.strip():
        parts.append(note.strip())
    return "\n\n".join(parts)
