"""What of the stock is printed: a sheet to count by, labels for bins."""

from dataclasses import dataclass
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.errors import FieldError
from shopapi.core.schema import Row, Schema

StockSheetKind = TypeAliasType("StockSheetKind", Literal["count", "labels"])
StockSheetState = TypeAliasType("StockSheetState", Literal["waiting", "ready", "failed"])

MOST_PARTS = 300


class StockSheetPrint(Schema):
    """Request a sheet: to count what is at a place, or labels for its parts.

    `catalog_part_ids`: only these, in this order; labels need no place then. `shows_levels`: whether the count sheet
    shows what is expected.
    """

    id: UUID
    kind: StockSheetKind
    place_id: UUID | None = None
    catalog_part_ids: Annotated[list[UUID], Field(max_length=MOST_PARTS)] = []
    shows_levels: bool = True


class StockSheetRow(Row):
    """Requested sheet: waiting, ready (then the PDF can be read), or failed with a reason."""

    kind: StockSheetKind
    place_id: UUID | None
    catalog_part_ids: list[UUID]
    state: StockSheetState
    reason: str


def sheet_faults(data: StockSheetPrint) -> list[FieldError]:
    """A count is of a place; labels are of a place or of named parts."""
    if data.place_id is None and (data.kind == "count" or not data.catalog_part_ids):
        return [FieldError("place_id", "sheet_of_nothing")]
    return []


@dataclass(frozen=True)
class SheetPart:
    """A part as a sheet prints it. `expected`: its level; empty where it is not shown. `svg`: a code of its screen."""

    number: str
    description: str
    bin: str
    expected: str = ""
    svg: str = ""


@dataclass(frozen=True)
class StockPage:
    """Everything that a sheet prints."""

    language: str
    title: str
    foot: str
    place: str
    day: str
    shop_name: str
    shows_levels: bool
    parts: tuple[SheetPart, ...]


def title_of(kind: str, place: str, parts: int) -> str:
    """The heading of a sheet.

    >>> title_of("count", "Truck 2", 40), title_of("labels", "", 1), title_of("labels", "Shelf A", 3)
    ('Count of Truck 2', 'Label of 1 part', 'Labels of 3 parts, Shelf A')
    """
    if kind == "count":
        return f"Count of {place}"
    labels = "Label of 1 part" if parts == 1 else f"Labels of {parts} parts"
    return f"{labels}, {place}" if place else labels
