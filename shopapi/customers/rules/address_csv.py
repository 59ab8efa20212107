"""Reads an address book from CSV: comma, semicolon or tab, headers guessed. Pure."""

import csv
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shopapi.core.languages import Language
from shopapi.customers.rules.address_book import (
    Book,
    Card,
    CardFault,
    UnreadableBook,
    check_count,
    check_size,
    clean_line,
    decode_lines,
    format_address,
    join_lines,
    make_card,
    split_lines,
)
from shopapi.customers.rules.address_report import starts_formula

DELIMITERS = (",", ";", "\t")

# What a column may hold, each with the headers it goes by, as `header_words` writes them.
FIELDS: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "full name", "customer", "display name", "contact name", "owner"),
    "company": (
        "company",
        "company name",
        "business",
        "business name",
        "organization",
        "organisation",
        "firm",
    ),
    "given": ("first name", "given name", "forename", "first"),
    "further": ("middle name", "additional name", "middle"),
    "family": ("last name", "family name", "surname", "last"),
    "person": ("person", "contact", "contact person", "attention", "attn"),
    "phone": (
        "phone",
        "phone number",
        "telephone",
        "telephone number",
        "tel",
        "landline",
        "number",
        "home",
        "work",
    ),
    "mobile": ("mobile", "mobile phone", "mobile number", "cell", "cell phone", "cellphone", "cell number"),
    "email": ("email", "email address", "mail"),
    "address": (
        "address",
        "street address",
        "full address",
        "postal address",
        "address line",
        "street",
        "road",
    ),
    "more": ("address two", "address line two", "street two", "unit", "apartment", "apt", "suite"),
    "city": ("city", "town", "locality", "suburb", "post town"),
    "region": ("state", "province", "region", "county", "state province"),
    "postcode": ("zip", "zip code", "zipcode", "postal code", "postcode", "post code", "zip postal code"),
    "country": ("country", "country region"),
    "notes": ("notes", "note", "comments", "comment", "remarks", "remark", "memo"),
    "tax_exempt": ("tax exempt", "exempt", "tax free"),
    "exempt_reason": (
        "exempt reason",
        "tax exempt reason",
        "exemption",
        "certificate",
        "exemption certificate",
    ),
    "language": ("language", "preferred language", "idioma"),
    "skip": (),
}
# German and Spanish headers, without accents. `nombre` with no last name beside it is the whole name all the same.
_TRANSLATED: Mapping[str, tuple[str, ...]] = {
    "name": ("nombre completo", "cliente", "kunde", "kundenname"),
    "company": ("firma", "firmenname", "empresa", "compania"),
    "given": ("vorname", "nombre"),
    "family": ("nachname", "familienname", "apellido", "apellidos"),
    "person": ("ansprechpartner", "contacto"),
    "phone": ("telefon", "telefonnummer", "telefono", "numero de telefono"),
    "mobile": ("handy", "mobil", "mobiltelefon", "movil", "celular"),
    "email": ("email adresse", "correo", "correo electronico"),
    "address": ("strasse", "adresse", "anschrift", "calle", "direccion", "domicilio"),
    "city": ("ort", "stadt", "wohnort", "ciudad", "poblacion"),
    "region": ("bundesland", "provincia"),
    "postcode": ("plz", "postleitzahl", "codigo postal"),
    "country": ("land", "pais"),
    "notes": ("notizen", "bemerkungen", "notas", "observaciones"),
}
_KNOWN = {header: field for names in (FIELDS, _TRANSLATED) for field, headers in names.items() for header in headers}
_LABELS = (
    "home",
    "work",
    "business",
    "billing",
    "mailing",
    "shipping",
    "other",
    "main",
    "primary",
    "customer",
)
_NAMING = {"name", "company", "given", "family"}
_LANGUAGES: Mapping[str, Language | None] = {
    "": None, "en": "en", "english": "en", "ingles": "en", "es": "es", "spanish": "es", "espanol": "es",
}  # fmt: skip
_EMAIL = re.compile(r"[^@\s,;]+@[^@\s,;]+\.[^@\s,;.]+")
_PHONE = re.compile(r"[+]?[\d\s().\-/\u2010-\u2015]+(?:\s*(?:x|ext\.?)\s*\d+)?", re.IGNORECASE)
# A longer cell holds no number. The bound also keeps the expressions above quick: they retry a run of blanks.
_MOST_OF_PHONE = 40
_DATE = re.compile(r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}([./-])\d{1,2}\1\d{4}")
# A guess by content needs no more rows than these.
_LOOKED_AT = 200
_YES, _NO = {"yes", "y", "true", "1", "x"}, {"", "no", "n", "false", "0"}


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table. `label` distinguishes columns of one field (home, work).

    `guess` is the field that its heading or its values speak for, empty where nothing does.
    """

    place: int
    header: str
    label: str
    guess: str
    field: str


@dataclass(frozen=True, slots=True)
class CsvTable:
    """A table taken apart: its columns as guessed, its rows that hold anything with their number, and notices."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[int, list[str]], ...]
    notices: tuple[str, ...]


def read_csv(data: bytes, mapping: Mapping[str, str] | None = None) -> Book:
    """The cards of a table. `mapping` says for a column's header which of `FIELDS` it holds, over the guess.

    Raises `UnreadableBook` when the table cannot be taken apart, no column holds a name, the mapping names
    what is not there, or a limit is passed.
    """
    table = open_table(data)
    columns = _map_columns(table.columns, mapping or {})
    book = read_cards(table, columns)
    if left := [column.header for column in columns if not column.field and column.header]:
        named = f"{', '.join(left[:8])}{' and more' if len(left) > 8 else ''}"
        notice = f'Columns left out: {named}. To keep one: --map "{left[0]}=notes".'
        return Book(book.cards, (*book.notices, notice))
    return book


def open_table(data: bytes) -> CsvTable:
    """Take a table apart: encoding, delimiter, header, what its columns hold. Raises `UnreadableBook`."""
    check_size(len(data))
    decoded, notices = decode_lines(enumerate(split_lines(data), start=1))
    lines = [line + "\n" for _, line in decoded]
    # A first line `sep=;` is a spreadsheet's own hint.
    if hint := re.fullmatch(r"sep=(.)\n", lines[0], re.IGNORECASE):
        delimiter, lines = hint.group(1), lines[1:]
    else:
        delimiter = max(DELIMITERS, key=lambda mark: _header_score(lines, mark))
    rows: list[tuple[int, list[str]]] = []
    for number, cells in read_rows(lines, delimiter):
        if any(cells):
            rows.append((number, cells))
            check_count(len(rows) - 1)
    header = rows[0][1] if rows else []
    if not _is_header(header):
        return CsvTable(_columns_by_content([""] * max(len(cells) for _, cells in rows), rows), tuple(rows), notices)
    if len(rows) == 1:
        raise UnreadableBook("The file holds a header and no rows. Export the address book again.")
    return CsvTable(_columns_by_content(header, rows[1:]), tuple(rows[1:]), notices)


def assign_fields(columns: Sequence[Column], fields: Mapping[int, str]) -> tuple[Column, ...]:
    """The columns with these fields, by place, over the guess; an empty field leaves a column out.

    Raises `UnreadableBook` for a field or a place that is not there.
    """
    if strangers := [field for field in fields.values() if field and field not in FIELDS]:
        raise UnreadableBook(f"There is no field '{strangers[0]}'. Fields: {', '.join(FIELDS)}.")
    if beyond := [place for place in fields if not 0 <= place < len(columns)]:
        raise UnreadableBook(f"The file has no column {beyond[0] + 1}.")
    return tuple(replace(column, field=fields.get(column.place, column.guess)) for column in columns)


def has_name(columns: Sequence[Column]) -> bool:
    """Whether a column holds a name, without which there is no customer."""
    return not _NAMING.isdisjoint(column.field for column in columns)


def read_cards(table: CsvTable, columns: Sequence[Column]) -> Book:
    """The cards of a table with these fields. Raises `UnreadableBook` where no column holds a name."""
    if not has_name(columns):
        found = ", ".join(column.header or "(empty)" for column in columns[:12])
        raise UnreadableBook(f'No column holds a name. Columns: {found}. Say which does: --map "Column=name".')
    return Book(tuple(_card(number, cells, columns) for number, cells in table.rows), table.notices)


def read_rows(lines: Sequence[str], delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Rows as a spreadsheet numbers them, cells stripped of blanks around."""
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    number = 0
    while True:
        begun = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise UnreadableBook(_check_header(str(error), begun, delimiter)) from None
        number += 1
        yield number, [_without_guard(cell.strip()) for cell in cells]


def _without_guard(cell: str) -> str:
    """A cell without the apostrophe that our own tables put before what a spreadsheet would take for a formula.

    Former tables put it before telephone numbers too.
    """
    return cell[1:] if cell[:1] == "'" and starts_formula(cell[1:]) else cell


def _check_header(error: str, line: int, delimiter: str) -> str:
    if "end of data" in error:
        return f"The row that begins on line {line} opens a quote and never closes it. Correct it in the file."
    if "field limit" in error:
        return f"The row that begins on line {line} has an endless cell, perhaps an unclosed quote. Correct it."
    mark = "a tab" if delimiter == "\t" else f"'{delimiter}'"
    return f"The row that begins on line {line} has text after a closing quote, before {mark}. Double it."


def _header_score(lines: Sequence[str], delimiter: str) -> tuple[int, int]:
    """Score of the first row with text as a header with this delimiter: known headers, then cells."""
    try:
        header = next((cells for _, cells in read_rows(lines, delimiter) if any(cells)), [])
    except UnreadableBook:
        return (-1, 0)
    return sum(1 for cell in header if _guess_column(cell)[1]), len(header)


def header_words(header: str) -> list[str]:
    """Words of a header: small letters, no accents, no marks, no digits but `two`, no `value`."""
    letters = unicodedata.normalize("NFKD", header.casefold().replace("e-mail", "email"))
    words = re.findall(r"[a-z]+|[0-9]+", "".join(letter for letter in letters if not unicodedata.combining(letter)))
    return ["two" if word == "2" else word for word in words if word == "2" or not (word.isdigit() or word == "value")]


def _guess_column(header: str) -> tuple[str, str]:
    """Label and field of a header; the field is empty when the header says nothing."""
    words = header_words(header)
    label = " ".join(word for word in words[:1] if word in _LABELS)
    tries = [words, [word for word in words if word != "two"]]
    if label:
        tries += [one[1:] for one in tries]
    # `Address 1 - City`
    tries += [one[1:] for one in tries if one[:1] == ["address"]]
    return label, next((_KNOWN[" ".join(one)] for one in tries if " ".join(one) in _KNOWN), "")


def _is_header(cells: Sequence[str]) -> bool:
    """Whether a first row is a header. One with a number or an address and no known heading is a first customer."""
    if any(_guess_column(cell)[1] for cell in cells):
        return True
    return not any(_EMAIL.fullmatch(cell) or is_phone(cell) for cell in cells)


def _columns_by_content(header: Sequence[str], rows: Sequence[tuple[int, list[str]]]) -> tuple[Column, ...]:
    columns: list[Column] = []
    for place, text in enumerate(header):
        label, guess = _guess_column(text)
        if not guess:
            cells = [cells[place] for _, cells in rows[:_LOOKED_AT] if place < len(cells) and cells[place]]
            guess = _guess_content(cells)
        columns.append(Column(place, clean_line(text), label, guess, guess))
    if any(header) or has_name(columns):
        return tuple(columns)
    # A table without a header: the first column of plain words is the name.
    for place, column in enumerate(columns):
        cells = [cells[place] for _, cells in rows[:_LOOKED_AT] if place < len(cells) and cells[place]]
        if not column.guess and cells and not any(letter.isdigit() for cell in cells for letter in cell):
            columns[place] = replace(column, guess="name", field="name")
            break
    return tuple(columns)


def _guess_content(cells: Sequence[str]) -> str:
    """The field that most of these values look like, empty for none."""
    if not cells:
        return ""
    for field, looks in (("email", _EMAIL.fullmatch), ("phone", is_phone)):
        if sum(1 for cell in cells if looks(cell)) * 4 >= len(cells) * 3:
            return field
    return ""


def is_phone(cell: str) -> bool:
    """Whether a cell looks like a telephone number: seven to fifteen digits, and only marks that numbers have."""
    if len(cell) > _MOST_OF_PHONE or _DATE.fullmatch(cell):
        return False
    return bool(_PHONE.fullmatch(cell)) and 7 <= sum(letter.isdigit() for letter in cell) <= 15


def _map_columns(columns: Sequence[Column], mapping: Mapping[str, str]) -> tuple[Column, ...]:
    given = {" ".join(header_words(column)): (column, field) for column, field in mapping.items()}
    mapped: list[Column] = []
    for column in columns:
        _, field = given.pop(" ".join(header_words(column.header)), ("", column.field))
        if field not in FIELDS and field:
            raise UnreadableBook(f"--map: there is no field '{field}'. Fields: {', '.join(FIELDS)}.")
        mapped.append(replace(column, field=field))
    if given:
        found = ", ".join(column.header or "(empty)" for column in columns[:12])
        missing = next(column for column, _ in given.values())
        raise UnreadableBook(f"--map: the file has no column '{clean_line(missing)}'. Columns: {found}.")
    return tuple(mapped)


def _card(row: int, cells: Sequence[str], columns: Sequence[Column]) -> Card:
    faults: list[CardFault] = []
    if any(cells[len(columns) :]):
        words = f"It has {len(cells)} cells and the header {len(columns)}. Quote the cell with the extra mark."
        faults.append(CardFault("row", "too_many_cells", words))
    values = [(column, cells[column.place]) for column in columns if column.place < len(cells) and cells[column.place]]

    def first(field: str) -> str:
        return next((cell for column, cell in values if column.field == field), "")

    def labelled(field: str) -> list[tuple[str, str]]:
        return [(column.label, cell) for column, cell in values if column.field == field]

    exempt = first("tax_exempt").casefold()
    if exempt not in _YES | _NO:
        faults.append(CardFault("tax_exempt", "not_yes_or_no", "It says neither yes nor no. Write yes or no."))
    language = _plain_letters(first("language"))
    if language not in _LANGUAGES:
        words = "It names no language known here. Write en or es."
        faults.append(CardFault("language", "unknown_language", words))
    parts = " ".join(part for part in (first("given"), first("further"), first("family")) if part)
    name = first("name") or parts
    person = first("person")
    if not name and not first("company"):
        # A table of contacts alone: the contact is the customer.
        name, person = person, ""
    return make_card(
        row=row,
        name=name,
        company=first("company"),
        person=person or (parts if first("name") and parts.casefold() != first("name").casefold() else ""),
        phones=labelled("mobile") + labelled("phone"),
        emails=labelled("email"),
        addresses=_addresses(values),
        notes=join_lines(
            cell
            if len(header_words(column.header)) == 1 and column.header.casefold().startswith("note")
            else f"{column.header}: {cell}"
            for column, cell in values
            if column.field == "notes"
        ),
        tax_exempt=exempt in _YES,
        exempt_reason=first("exempt_reason"),
        language=_LANGUAGES.get(language),
        faults=faults,
    )


def _plain_letters(text: str) -> str:
    return unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode()


def _addresses(values: Sequence[tuple[Column, str]]) -> list[tuple[str, str]]:
    by_label: dict[str, dict[str, str]] = {}
    for column, cell in values:
        if column.field in ("address", "more", "city", "region", "postcode", "country"):
            by_label.setdefault(column.label, {}).setdefault(column.field, cell)
    return [
        (
            label,
            format_address(
                street=parts.get("address", ""),
                more=parts.get("more", ""),
                city=parts.get("city", ""),
                region=parts.get("region", ""),
                postcode=parts.get("postcode", ""),
                country=parts.get("country", ""),
            ),
        )
        for label, parts in by_label.items()
    ]
