"""A supplier's price list: the schemas of its import, and the reader of its table. Pure.

Bytes in, listed parts and faults by row out. Nothing in a row is guessed: one that cannot be read is refused and
reported with its number, the others are kept.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shopapi.customers.rules.address_book import UnreadableBook, clean_line, decode_lines, split_lines
from shopapi.customers.rules.address_csv import DELIMITERS, header_words, read_rows
from shopapi.parts.rules.amounts import DecimalMark, bare_amount, decimal_mark, read_amount

MIB = 1024 * 1024
# Raw, in the body of one request: less than the web server takes (`web_worker.MOST_BYTES`).
MAX_LIST_BYTES = 3 * MIB
MAX_LIST_ROWS = 60_000
MOST_NUMBER = 60
MOST_DESCRIPTION = 200

# What a column may hold, each with the headings it goes by, as `header_words` writes them: English, German, Spanish.
FIELDS: Mapping[str, tuple[str, ...]] = {
    "number": (
        "number", "part number", "part no", "part", "part num", "item", "item number", "item no", "sku", "code",
        "item code", "product code", "article", "article number", "no", "mpn", "teilenummer", "artikelnummer", "nummer",
        "bestellnummer", "numero", "numero de parte", "codigo", "referencia", "articulo",
    ),
    "description": (
        "description", "part description", "item description", "name", "title", "product", "details", "bezeichnung",
        "beschreibung", "benennung", "descripcion", "nombre",
    ),
    "cost": (
        "cost", "net", "net price", "net cost", "your price", "your cost", "dealer", "dealer price", "dealer cost",
        "dealer net", "wholesale", "wholesale price", "unit cost", "nettopreis", "netto", "einkaufspreis", "ek",
        "costo", "precio neto",
    ),
    "price": (
        "price", "list", "list price", "retail", "retail price", "msrp", "rrp", "suggested retail", "unit price",
        "preis", "listenpreis", "bruttopreis", "vk", "uvp", "precio", "precio de lista", "pvp",
    ),
    "core": ("core", "core charge", "core deposit", "deposit", "pfand", "altteilpfand", "deposito"),
    "superseded_by": (
        "superseded by", "supersedes to", "superseded", "replaced by", "replacement", "new number", "new part number",
        "ersetzt durch", "nachfolger", "reemplazado por", "sustituido por",
    ),
}  # fmt: skip
AMOUNTS = ("cost", "price", "core")
_KNOWN = {heading: field for field, headings in FIELDS.items() for heading in headings}
# A spreadsheet wrote a long number as a power of ten: its last digits are gone.
_DAMAGED = re.compile(r"[0-9](?:[.,][0-9]+)?[eE]\+[0-9]+")
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A column of the table: its heading, the field it is taken for (empty: left out)."""

    place: int
    header: str
    field: str


@dataclass(frozen=True, slots=True)
class ListTable:
    """A table taken apart: columns as guessed, the rows that hold anything with their number, notices on the whole."""

    columns: tuple[ListColumn, ...]
    rows: tuple[tuple[int, list[str]], ...]
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part as a supplier lists it; amounts in minor units, None where the list has none."""

    row: int
    number: str
    description: str = ""
    superseded_by: str = ""
    cost_minor: int | None = None
    price_minor: int | None = None
    core_minor: int | None = None


@dataclass(frozen=True, slots=True)
class RowFault:
    """Why a row is refused: its field, a stable code, and a sentence that says what to do."""

    row: int
    number: str
    field: str
    code: str
    words: str


@dataclass(frozen=True, slots=True)
class PriceList:
    """The parts of a list, the rows that are refused, and the decimal mark that was used (empty: none was needed)."""

    parts: tuple[ListedPart, ...]
    faults: tuple[RowFault, ...]
    mark: DecimalMark


def number_key(number: str) -> str:
    """A part number without the marks and blanks that one writer sets and another does not.

    >>> number_key("ab-1204 / 55"), number_key("0042.7")
    ('AB120455', '00427')
    """
    return "".join(letter for letter in number.upper() if letter.isalnum())


def open_list(data: bytes) -> ListTable:
    """Take a price list apart: encoding, delimiter, headings. Raises `UnreadableBook` with what to do."""
    if not data:
        raise UnreadableBook("The file is empty. Export the price list again.")
    if len(data) > MAX_LIST_BYTES:
        raise UnreadableBook(f"The file is larger than {MAX_LIST_BYTES // MIB} MB, the most taken at once. Split it.")
    decoded, notices = decode_lines(enumerate(split_lines(data), start=1))
    lines = [line + "\n" for _, line in decoded]
    # A first line `sep=;` is a spreadsheet's own hint.
    if hint := re.fullmatch(r"sep=(.)\n", lines[0], re.IGNORECASE):
        delimiter, lines = hint.group(1), lines[1:]
    else:
        delimiter = max(DELIMITERS, key=lambda mark: _known_headings(lines, mark))
    rows = []
    for number, cells in read_rows(lines, delimiter):
        if any(cells):
            rows.append((number, cells))
        if len(rows) > MAX_LIST_ROWS + 1:
            raise UnreadableBook(f"The file holds more than {MAX_LIST_ROWS} rows, the most taken at once. Split it.")
    if len(rows) < 2:
        raise UnreadableBook("The file holds no parts below its headings. Export the price list again.")
    return ListTable(_guessed(rows[0][1]), tuple(rows[1:]), notices)


def _known_headings(lines: Sequence[str], delimiter: str) -> tuple[int, int]:
    try:
        header = next((cells for _, cells in read_rows(lines, delimiter) if any(cells)), [])
    except UnreadableBook:
        return (-1, 0)
    return sum(1 for cell in header if _field_of(cell)), len(header)


def _field_of(heading: str) -> str:
    return _KNOWN.get(" ".join(header_words(heading)), "")


def _guessed(header: Sequence[str]) -> tuple[ListColumn, ...]:
    """The columns by their headings; where two speak for one field, the first has it."""
    taken: set[str] = set()
    columns = []
    for place, text in enumerate(header):
        field = _field_of(text)
        columns.append(ListColumn(place, clean_line(text), "" if field in taken else field))
        taken.add(field)
    return tuple(columns)


def assign_columns(columns: Sequence[ListColumn], fields: Mapping[int, str]) -> tuple[ListColumn, ...]:
    """The columns with these fields, by place, over the guess. A field that is given is taken from the others."""
    if strangers := [field for field in fields.values() if field and field not in FIELDS]:
        raise UnreadableBook(f"There is no field “{strangers[0]}”. Fields: {', '.join(FIELDS)}.")
    if beyond := [place for place in fields if not 0 <= place < len(columns)]:
        raise UnreadableBook(f"The file has no column {beyond[0] + 1}.")
    given = [field for field in fields.values() if field]
    if twice := [field for field in given if given.count(field) > 1]:
        raise UnreadableBook(f"Two columns are taken for “{twice[0]}”. Leave one out.")
    return tuple(
        replace(column, field=fields.get(column.place, "" if column.field in given else column.field))
        for column in columns
    )


def has_numbers(columns: Sequence[ListColumn]) -> bool:
    """Whether a column holds part numbers, without which nothing can be found in a list."""
    return any(column.field == "number" for column in columns)


def read_list(
    table: ListTable, columns: Sequence[ListColumn], *, digits: int, currency: str, mark: DecimalMark = ""
) -> PriceList:
    """The parts of a list whose columns hold a number. `mark`: the decimal mark, over the one that the amounts show."""
    places = {column.field: column.place for column in columns if column.field}
    if not mark:
        mark = decimal_mark(_amount_cells(table, places), digits)
    reader = _RowReader(places, len(columns), mark, digits, currency)
    parts: list[ListedPart] = []
    faults: list[RowFault] = []
    first_row: dict[str, int] = {}
    for row, cells in table.rows:
        part, found = reader.read(row, cells)
        key = number_key(part.number)
        if not found and key in first_row:
            words = f"Row {first_row[key]} has the same number. Leave one of them out."
            found = [RowFault(row, part.number, "number", "number_twice", words)]
        if found:
            faults += found
        else:
            first_row[key] = row
            parts.append(part)
    return PriceList(tuple(parts), tuple(faults), mark)


def _amount_cells(table: ListTable, places: Mapping[str, int]) -> Iterator[str]:
    wanted = [places[field] for field in AMOUNTS if field in places]
    return (cells[place] for _, cells in table.rows for place in wanted if place < len(cells) and cells[place])


_AMOUNT_WORDS = {
    "not_an_amount": "“{text}” is no amount. Write figures, or leave the cell empty.",
    "amount_below_zero": "“{text}” is below zero. Write the amount without a sign.",
    "amount_ambiguous": "“{text}” can be read in two ways. Say which mark the list has before its decimals.",
    "amount_too_large": "“{text}” is too large. Check the decimal mark of the list.",
    "other_currency": "“{text}” is not in {currency}, the currency of the shop.",
}


@dataclass(frozen=True, slots=True)
class _RowReader:
    places: Mapping[str, int]
    width: int
    mark: str
    digits: int
    currency: str

    def read(self, row: int, cells: Sequence[str]) -> tuple[ListedPart, list[RowFault]]:
        texts = {field: clean_line(cells[at]) if at < len(cells) else "" for field, at in self.places.items()}
        number = texts["number"]
        named = _CONTROL.sub("", number)[:MOST_NUMBER]

        def fault(field: str, code: str, words: str) -> RowFault:
            return RowFault(row, named, field, code, words)

        faults = [fault(*found) for found in _text_faults(texts)]
        if any(cells[self.width :]):
            words = (
                f"It has {len(cells)} cells and the headings {self.width}. Put the cell with the extra mark in quotes."
            )
            faults.append(fault("row", "too_many_cells", words))
        amounts: dict[str, int | None] = dict.fromkeys(AMOUNTS)
        for field in AMOUNTS:
            if text := texts.get(field, ""):
                amount = self._amount(text)
                if isinstance(amount, str):
                    words = _AMOUNT_WORDS[amount].format(text=_CONTROL.sub("", text)[:40], currency=self.currency)
                    faults.append(fault(field, amount, words))
                else:
                    amounts[field] = amount
        part = ListedPart(
            row,
            number,
            texts.get("description", ""),
            texts.get("superseded_by", ""),
            amounts["cost"],
            amounts["price"],
            amounts["core"],
        )
        return part, faults

    def _amount(self, text: str) -> int | str:
        _, code = bare_amount(text)
        if code and code != self.currency:
            return "other_currency"
        return read_amount(text, mark=self.mark, digits=self.digits)


def _text_faults(texts: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    if not number_key(texts["number"]):
        yield "number", "missing", "There is no part number. Give it one, or leave the row out."
    elif _DAMAGED.fullmatch(texts["number"]):
        words = "A spreadsheet has shortened this number. Set the column to text there, and save the list again."
        yield "number", "number_damaged", words
    for field, most in (("number", MOST_NUMBER), ("description", MOST_DESCRIPTION), ("superseded_by", MOST_NUMBER)):
        text = texts.get(field, "")
        if _CONTROL.search(text):
            yield field, "control_characters", "It holds characters that are not text. Type it again in the file."
        elif len(text) > most:
            yield field, "too_long", f"It holds {len(text)} characters; {most} is the most. Shorten it in the file."


@dataclass(frozen=True, slots=True)
class ListChanges:
    """What a list would do to the one before it, by `number_key`."""

    new: tuple[ListedPart, ...]
    changed: tuple[ListedPart, ...]
    same: int
    gone: tuple[str, ...]


Figures = tuple[str, str, str, int | None, int | None, int | None]


def figures_of(part: ListedPart) -> Figures:
    """What of a listed part is kept, and so can change."""
    return (
        part.number,
        part.description,
        part.superseded_by,
        part.cost_minor,
        part.price_minor,
        part.core_minor,
    )


def compare_lists(parts: Sequence[ListedPart], before: Mapping[str, Figures]) -> ListChanges:
    """Compare a list with what its supplier listed before."""
    by_key = {number_key(part.number): part for part in parts}
    new = tuple(part for key, part in by_key.items() if key not in before)
    changed = tuple(part for key, part in by_key.items() if key in before and before[key] != figures_of(part))
    gone = tuple(key for key in before if key not in by_key)
    return ListChanges(new, changed, len(by_key) - len(new) - len(changed), gone)
