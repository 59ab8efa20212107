"""Schemas of the import of a supplier's price list."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Label, Row, Schema
from shopapi.parts.rules.amounts import DecimalMark
from shopapi.parts.rules.fields import Cost

# Rows of a kind that a check lists; the counts are of all.
MOST_LISTED = 200
MOST_COLUMNS = 200


class PriceListState(TextEnum):
    """uploaded: the file is there. begun: some of it is written. imported: what it lists can be searched."""

    UPLOADED = "uploaded"
    BEGUN = "begun"
    IMPORTED = "imported"


PRICE_LIST_TRANSITIONS = {
    PriceListState.UPLOADED: [PriceListState.BEGUN],
    PriceListState.BEGUN: [PriceListState.IMPORTED],
    PriceListState.IMPORTED: [],
}


class PriceListOptions(Schema):
    """How a list is read. `fields`: by the place of a column (from 0) its field, over the guess; empty leaves it out.

    `mark`: the decimal mark; empty: as the amounts show. `replace`: what the supplier listed before and no
    longer does is removed. `update_catalog`: costs of the shop's own catalog follow the list.
    """

    fields: dict[Annotated[str, Field(pattern=r"^\d{1,3}$")], Label] = Field({}, max_length=MOST_COLUMNS)
    mark: DecimalMark = ""
    replace: bool = True
    update_catalog: bool = False


class PriceListColumn(Schema):
    """A column of the file: its heading, the field it is taken for (empty: left out), its first values."""

    place: int
    header: str
    field: str
    examples: list[str]


class PriceListFault(Schema):
    """Why a row of the file is refused: the field, a stable code, and a sentence that says what to do."""

    row: int
    number: str
    field: str
    code: str
    words: str


class CatalogCost(Schema):
    """A part of the shop's own catalog whose cost the list would change."""

    catalog_part_id: UUID
    number: str
    description: str
    cost_minor: Cost
    listed_minor: Cost


class PriceListCheck(Schema):
    """What an import would do.

    `numbers_missing`: no column holds part numbers yet. `mark`: the decimal mark; empty: none was needed.
    """

    columns: list[PriceListColumn]
    fields: list[str]
    numbers_missing: bool
    mark: DecimalMark
    rows: int
    new: int
    changed: int
    same: int
    gone: int
    broken: int
    broken_rows: list[PriceListFault]
    catalog_costs: list[CatalogCost]
    catalog_changed: int
    notices: list[str]


class SupplierPriceListRow(Row):
    """A price list. The counts are of its import; `catalog_changed`: costs of the own catalog that followed it."""

    supplier_id: UUID
    file_name: str
    state: PriceListState
    new: int
    changed: int
    same: int
    gone: int
    catalog_changed: int
    refused: list[PriceListFault]


class SupplierPriceRow(Row):
    supplier_id: UUID
    number: str
    description: str
    superseded_by: str
    cost_minor: Cost
    price_minor: int | None
    core_minor: int | None
