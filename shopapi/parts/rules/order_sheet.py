"""What the PDF of an order prints."""

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

OrderPdfState = TypeAliasType("OrderPdfState", Literal["none", "waiting", "ready", "failed"])


@dataclass(frozen=True)
class SheetParty:
    """A block of the head: who it is, with lines below."""

    title: str
    name: str
    lines: tuple[str, ...] = ()
    is_machine: bool = False


@dataclass(frozen=True)
class SheetFact:
    label: str
    value: str


@dataclass(frozen=True)
class SheetLine:
    """A line of the order. `price`: of one, empty where it is not known."""

    quantity: str
    number: str
    description: str
    price: str


@dataclass(frozen=True)
class OrderSheet:
    """An order for its supplier. Field names up to `facts` are those of `documents/letter_head.html`."""

    language: str
    title: str
    foot: str
    name: str
    number: str
    shop_name: str
    shop_lines: tuple[str, ...]
    asides: tuple[str, ...]
    parties: tuple[SheetParty, ...]
    facts: tuple[SheetFact, ...]
    lines: tuple[SheetLine, ...]
    note: str
