"""Schemas of the import of an address book in the app."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Label, Row, Schema
from shopapi.customers.rules.address_book import MAX_CARDS, MIB

# Raw, in the body of one request: less than the web server takes (`web_worker.MOST_BYTES`), so that a larger file is
# answered with what to do rather than cut off.
MAX_UPLOAD_BYTES = 3 * MIB
# Rows of a kind that a check lists; the counts are of all.
MOST_LISTED = 200
# Columns that a mapping may name.
MOST_COLUMNS = 200


class ImportState(TextEnum):
    """uploaded: the file is there. running: rows are being added. done: all are. undone: they were removed again."""

    UPLOADED = "uploaded"
    RUNNING = "running"
    DONE = "done"
    UNDONE = "undone"


IMPORT_TRANSITIONS = {
    ImportState.UPLOADED: [ImportState.RUNNING],
    ImportState.RUNNING: [ImportState.DONE],
    ImportState.DONE: [ImportState.UNDONE],
    ImportState.UNDONE: [],
}


class ImportFault(Schema):
    """Why a row of the file is refused: the field, a stable code, and a sentence that says what to do."""

    row: int
    name: str
    field: str
    code: str
    words: str


class ImportColumn(Schema):
    """A column of the file: its heading, the field it is taken for (empty: left out), its first values."""

    place: int
    header: str
    field: str
    examples: list[str]


class KnownRow(Schema):
    """A row that looks like a customer of the shop or like a row before it. `in_import`: added by this same file."""

    row: int
    name: str
    known_name: str
    why: list[str]
    in_import: bool


class ImportOptions(Schema):
    """How the file is read. `fields`: by the place of a column (from 0) its field, over the guess; empty leaves it out.

    `add_rows`: rows to add as customers of their own although they look like one that is known. `add_similar`: the same
    for every row that has nearly the name of one, but another phone number and e-mail address.
    """

    fields: dict[Annotated[str, Field(pattern=r"^\d{1,3}$")], Label] = Field({}, max_length=MOST_COLUMNS)
    add_rows: list[int] = Field([], max_length=MAX_CARDS)
    add_similar: bool = False


class StartImport(ImportOptions):
    id: UUID


class ImportCheck(Schema):
    """What an import would do. `columns` is empty for a vCard file; `names_missing`: no column holds a name yet.

    `similar`: rows with nearly the name of a known customer and another phone number or e-mail address, whatever the
    options say of them.
    """

    columns: list[ImportColumn]
    fields: list[str]
    names_missing: bool
    rows: int
    to_add: int
    known: int
    similar: int
    broken: int
    known_rows: list[KnownRow]
    broken_rows: list[ImportFault]
    notices: list[str]


class CustomerImportRow(Row):
    """An import. `done` of `total` rows are through; `added` became customers, `left_out` were known by then."""

    file_name: str
    state: ImportState
    total: int
    done: int
    added: int
    left_out: int
    refused: list[ImportFault]
