"""The shop's own catalog of parts, which grows from its jobs."""

from decimal import Decimal
from uuid import UUID

from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, Name, OptionalText, Row, Schema
from shopapi.parts.rules.fields import Cost, Each, PartNumber, StockQuantity


class CatalogPartFields(Schema):
    """What may be edited of a part in the catalog.

    `number`: as printed. `superseded_by`: the number that replaces it; empty: none. `cost_minor`, `price_minor`,
    `core_minor`: for one; without a price the mark-up of the price book applies. `minimum`: the shop wants at least so
    many in stock. `bin`: where on the shelf. `archived`: no longer offered to choose from.
    """

    supplier_id: UUID | None = None
    number: PartNumber = ""
    description: Name
    superseded_by: PartNumber = ""
    cost_minor: Cost = None
    price_minor: Each | None = None
    core_minor: Each = 0
    minimum: StockQuantity = Decimal(0)
    bin: Label = ""
    note: OptionalText = ""
    archived: bool = False


class NewCatalogPart(CatalogPartFields):
    id: UUID


class CatalogPartRow(Row):
    supplier_id: UUID | None
    number: str
    description: str
    superseded_by: str
    cost_minor: Cost
    price_minor: int | None
    core_minor: int
    minimum: DecimalText
    bin: str
    note: str
    archived: bool


def number_faults(number: str, superseded_by: str) -> list[FieldError]:
    """A number does not replace itself."""
    same = superseded_by != "" and superseded_by == number
    return [FieldError("superseded_by", "superseded_by_itself")] if same else []
