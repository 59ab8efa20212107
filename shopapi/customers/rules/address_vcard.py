"""Reads vCards: 4.0 (RFC 6350), and 3.0 and 2.1 as phones still write them.

Own parser: what is needed is the content line, folding, escaping and six properties, and a library would hide
which line is at fault. Pure.
"""

import binascii
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from urllib.parse import unquote

from shopapi.core.enums import values_of
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
    name_rows,
    split_lines,
)

VERSIONS = ("4.0", "3.0", "2.1")
# Longest value kept of a property that is read; pictures are longer, and are not read.
_MAX_VALUE = 100_000
_MAX_HEAD = 10_000
_TAKEN = {"FN", "N", "ORG", "TEL", "EMAIL", "ADR", "NOTE", "UID", "KIND", "VERSION"}
_CARET = {"^^": "^", "^n": "\n", "^N": "\n", "^'": '"'}


@dataclass(frozen=True, slots=True)
class Property:
    """One content line: upper-case name without its group, parameters (lower-case values), raw value."""

    name: str
    params: dict[str, list[str]]
    value: str

    def types(self) -> list[str]:
        """What the property is for: home, work, cell ..., without the preference."""
        return [kind for kind in self.params.get("TYPE", []) if kind not in ("pref", "internet", "voice")]

    def rank(self) -> int:
        """1 (first choice) to 101 (nothing said), from `PREF` of 4.0 or `TYPE=pref` of 3.0."""
        if "pref" in self.params.get("TYPE", []):
            return 1
        given = self.params.get("PREF", [""])[0]
        return int(given) if given.isdecimal() and len(given) <= 3 else 101


@dataclass(slots=True)
class _Draft:
    """A card while its lines are read."""

    row: int
    line: int
    properties: list[Property] = field(default_factory=list)
    faults: list[CardFault] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        return sorted((one for one in self.properties if one.name == name), key=Property.rank)

    def first(self, name: str) -> str:
        found = self.all(name)
        return found[0].value if found else ""


def read_vcards(data: bytes) -> Book:
    """The cards of a `.vcf` file. Raises `UnreadableBook` when it holds none, or is past the limits."""
    check_size(len(data))
    lines, notices = decode_lines(_unfolded(split_lines(data)))
    cards: list[Card] = []
    groups: list[int] = []
    untaken: set[str] = set()
    for draft in _drafts(lines):
        check_count(draft.row)
        untaken.update(one.name for one in draft.properties if one.name not in _TAKEN)
        if draft.first("KIND").casefold() == "group":
            groups.append(draft.row)
        else:
            cards.append(_card(draft))
    if not cards and not groups:
        raise UnreadableBook("The file holds no vCard (no line BEGIN:VCARD). Export the contacts as vCard 4.0 or 3.0.")
    if groups:
        notices += (f"{name_rows('Card', groups)}: a group of contacts, left out.",)
    if left := sorted(untaken - {"PRODID", "REV"}):
        notices += (f"Not taken from the cards: {', '.join(left[:12])}{' and more' if len(left) > 12 else ''}.",)
    return Book(tuple(cards), notices)


def _unfolded(lines: list[bytes]) -> Iterator[tuple[int, bytes]]:
    """Content lines, each with the number of its first line.

    In bytes, because a fold may fall inside a letter (RFC 6350 section 3.2). Quoted-printable values of 2.1
    fold in their own way: `=` at the end.
    """
    begun: list[bytes] = []
    first = 0
    for number, line in enumerate(lines, start=1):
        if begun and line[:1] in (b" ", b"\t"):
            begun.append(line[1:])
        elif begun and begun[-1].endswith(b"=") and _is_quoted_printable(begun[0]):
            begun[-1] = begun[-1][:-1]
            begun.append(line)
        else:
            if begun:
                yield first, b"".join(begun)
            begun, first = [line], number
    yield first, b"".join(begun)


def _is_quoted_printable(line: bytes) -> bool:
    return b"QUOTED-PRINTABLE" in line.partition(b":")[0].upper()


def _drafts(lines: list[tuple[int, str]]) -> Iterator[_Draft]:
    draft: _Draft | None = None
    count = 0
    for number, line in lines:
        mark = line.strip().upper() if len(line) < 40 else ""
        if mark == "BEGIN:VCARD":
            if draft is not None:
                yield _is_truncated(draft)
            count += 1
            draft = _Draft(count, number)
        elif draft is not None and mark == "END:VCARD":
            yield draft
            draft = None
        elif draft is not None and line.strip():
            _add_line(draft, line, number)
    if draft is not None:
        yield _is_truncated(draft)


def _is_truncated(draft: _Draft) -> _Draft:
    draft.faults.append(
        CardFault(
            "card",
            "broken_off",
            f"It begins on line {draft.line} and never ends (no END:VCARD). Export it again.",
        )
    )
    return draft


def _add_line(draft: _Draft, line: str, number: int) -> None:
    try:
        found = parse_line(line)
    except ValueError as error:
        draft.faults.append(CardFault("card", "broken_line", f"Line {number}: {error}. Correct it or export it again."))
        return
    if found.name in _TAKEN and len(found.value) > _MAX_VALUE:
        draft.faults.append(
            CardFault(
                found.name.lower(),
                "too_long",
                f"Line {number} holds {len(found.value)} characters. Shorten it in the file.",
            )
        )
        return
    draft.properties.append(found if found.name in _TAKEN else Property(found.name, {}, ""))


def parse_line(line: str) -> Property:
    """One unfolded content line. Raises ValueError (without a way out) when it is none."""
    head, value = _split_head(line)
    name_part, *param_parts = _split_quoted(head, ";")
    name = name_part.rpartition(".")[2].strip().upper()
    if not re.fullmatch(r"[A-Z0-9-]+", name):
        raise ValueError("there is no property name before the colon")
    params: dict[str, list[str]] = {}
    for part in param_parts:
        key, equals, given = part.partition("=")
        # 2.1 writes TEL;CELL: for TEL;TYPE=cell:
        key, given = (key.strip().upper(), given) if equals else ("TYPE", key)
        if key == "TYPE" and given.strip().upper() in ("QUOTED-PRINTABLE", "BASE64"):
            key = "ENCODING"
        values = params.setdefault(key, [])
        for one in _split_quoted(given, ","):
            text = re.sub(r"\^[\^nN']", lambda found: _CARET[found.group()], one.strip().strip('"'))
            # TYPE="voice,home" quotes the list as a whole (RFC 6350 section 6.4.1).
            values.extend(piece.strip().lower() for piece in text.split(",")) if key == "TYPE" else values.append(text)
    if params.get("ENCODING", [""])[0].upper() == "QUOTED-PRINTABLE":
        value = _from_quoted_printable(value, params.get("CHARSET", ["utf-8"])[0])
    return Property(name, params, value)


def _split_head(line: str) -> tuple[str, str]:
    quoted = False
    for place, letter in enumerate(line[:_MAX_HEAD]):
        if letter == '"':
            quoted = not quoted
        elif letter == ":" and not quoted:
            return line[:place], line[place + 1 :]
    raise ValueError("a quote opens and never closes" if quoted else "no colon ends the property name")


def _split_quoted(text: str, mark: str) -> list[str]:
    parts, quoted = [""], False
    for letter in text:
        if letter == '"':
            quoted = not quoted
        if letter == mark and not quoted:
            parts.append("")
        else:
            parts[-1] += letter
    return parts


def _from_quoted_printable(value: str, charset: str) -> str:
    raw = binascii.a2b_qp(value.encode())
    try:
        # A line break inside the value stands for \n, a mark the value's own structure must survive.
        return raw.decode(charset).replace("\r\n", "\\n").replace("\n", "\\n")
    except (LookupError, UnicodeDecodeError):
        raise ValueError(f"its text is not the {clean_line(charset)[:20]} it says it is") from None


def unescape(value: str) -> str:
    r"""Text of a value: `\n` a line break, `\,` `\;` `\\` the mark itself (RFC 6350 section 3.4)."""
    return re.sub(r"\\(.)", lambda found: "\n" if found.group(1) in "nN" else found.group(1), value)


def split_value(value: str, mark: str) -> list[str]:
    """The components between unescaped marks, as text."""
    parts, begun = [], 0
    for found in re.finditer(rf"\\.|{mark}", value):
        if found.group() == mark:
            parts.append(unescape(value[begun : found.start()]))
            begun = found.end()
    return [*parts, unescape(value[begun:])]


def _card(draft: _Draft) -> Card:
    version = draft.first("VERSION").strip()
    if version not in VERSIONS and not draft.faults:
        draft.faults.append(
            CardFault(
                "card",
                "version",
                f"It is vCard {clean_line(version)[:10] or 'without version'}. Export it as 4.0 or 3.0.",
            )
        )
    name, organisation = unescape(draft.first("FN")), split_value(draft.first("ORG"), ";")
    written_name = _name_of(split_value(draft.first("N"), ";"))
    is_business = draft.first("KIND").casefold() in ("org", "organization")
    company = "" if is_business and name.strip() else organisation[0]
    numbers, faxes = _numbers(draft.all("TEL"))
    return make_card(
        row=draft.row,
        name=name if name.strip() else written_name,
        company=company,
        person=written_name if company and clean_line(name).casefold() == clean_line(company).casefold() else "",
        phones=numbers,
        emails=((_label(one), unescape(one.value).removeprefix("mailto:")) for one in draft.all("EMAIL")),
        addresses=((_label(one), _address(one)) for one in draft.all("ADR")),
        notes=join_lines(
            [
                *(unescape(one.value) for one in draft.all("NOTE")),
                f"Department: {', '.join(units)}"
                if (units := [unit for unit in organisation[1:] if unit.strip()])
                else "",
                *(f"Fax: {fax}" for fax in faxes),
            ]
        ),
        language=_language(draft.first("LANG")),
        uid=draft.first("UID"),
        faults=draft.faults,
    )


def _language(tag: str) -> Language | None:
    """The language of a tag such as "es-MX" (RFC 6350 section 6.4.4); None for one that no text here has."""
    return next((known for known in values_of(Language) if known == tag.strip().lower().partition("-")[0]), None)


def _name_of(parts: list[str]) -> str:
    """Given, further and family name, then the suffix, of an `N` value's components."""
    family, given, further, _title, suffix = (*parts, "", "", "", "", "")[:5]
    return " ".join(part.replace(",", " ") for part in (given, further, family, suffix) if part.strip())


def _label(one: Property) -> str:
    return ", ".join(one.types())


def _numbers(found: list[Property]) -> tuple[list[tuple[str, str]], list[str]]:
    """Telephone numbers, best first (a stated preference, then a mobile), and fax numbers apart."""
    spoken = [one for one in found if "fax" not in one.types()]
    spoken.sort(key=lambda one: (one.rank(), "cell" not in one.types()))
    return [(_label(one), _number(one)) for one in spoken], [_number(one) for one in found if "fax" in one.types()]


def _number(one: Property) -> str:
    if not one.value.strip().lower().startswith("tel:"):
        return unescape(one.value)
    number, *params = unquote(one.value.strip()[4:]).split(";")
    extension = next((param[4:] for param in params if param.lower().startswith("ext=")), "")
    return f"{number} ext. {extension}" if extension else number


def _address(one: Property) -> str:
    box, more, street, city, region, postcode, country = (*split_value(one.value, ";"), *[""] * 7)[:7]
    written = format_address(
        street=street,
        more=", ".join(part for part in (more, box) if part.strip()),
        city=city,
        region=region,
        postcode=postcode,
        country=country,
    )
    return written if written.strip() else unescape(one.params.get("LABEL", [""])[0])
