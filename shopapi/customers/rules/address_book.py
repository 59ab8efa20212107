"""An address book as read from a file: cards, one per row, each about a person or a business.

Pure: bytes in, frozen dataclasses out. `address_csv` and `address_vcard` read the two forms; `address_plan`
says what each card would do to the customers the shop already has.
"""

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from shopapi.core.languages import Language

MIB = 1024 * 1024
MAX_BYTES = 32 * MIB
MAX_CARDS = 5_000

# Longest text a card may hold, in characters. The customer's own limits, refused here with a message that
# fits a file.
LIMITS = {
    "name": 120,
    "person": 120,
    "phone": 120,
    "second_phone": 120,
    "email": 120,
    "address": 2000,
    "notes": 4000,
    "exempt_reason": 120,
}

_CONTROL = {code for code in range(32) if code not in (9, 10)} | set(range(127, 160))
# Marks of writing direction that phones put around numbers: not seen, not typed, and they break a comparison.
_UNSEEN = dict.fromkeys([0x200B, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF])


class UnreadableBook(Exception):
    """The whole file is refused. The message is one line and says what to do."""


@dataclass(frozen=True, slots=True)
class CardFault:
    """Why one card is refused: the field, a stable code, and a message that says what to do."""

    field: str
    code: str
    words: str


@dataclass(frozen=True, slots=True)
class Card:
    """One row of the book. `row` is the spreadsheet's row (its header is row 1) or the count of the vCard.

    `phone`, `second_phone` and `email` are the ones to keep as the customer's, as typed; `phones` and `emails` are all
    of them, for comparison. `uid` is the vCard's own id, empty in a CSV.
    """

    row: int
    name: str
    person: str = ""
    phone: str = ""
    second_phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""
    tax_exempt: bool = False
    exempt_reason: str = ""
    # None: the file does not say.
    language: Language | None = None
    phones: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()
    uid: str = ""
    faults: tuple[CardFault, ...] = ()


@dataclass(frozen=True, slots=True)
class Book:
    """The cards in the file's order, and notices on the whole file: what was guessed, what was left out."""

    cards: tuple[Card, ...]
    notices: tuple[str, ...]


def check_size(byte_count: int) -> None:
    """Raise `UnreadableBook` for a file that is empty or past the size limit."""
    if byte_count == 0:
        raise UnreadableBook("The file is empty. Export the address book again.")
    if byte_count > MAX_BYTES:
        raise UnreadableBook(
            f"The file holds {byte_count / MIB:.1f} MiB; {MAX_BYTES // MIB} MiB is the most taken at once. "
            "Split it, or leave the pictures out."
        )


def check_count(card_count: int) -> None:
    """Raise `UnreadableBook` for more cards than one import takes."""
    if card_count > MAX_CARDS:
        raise UnreadableBook(f"The file holds more than {MAX_CARDS} rows, the most taken at once. Split it.")


def split_lines(data: bytes) -> list[bytes]:
    """The lines as UTF-8 or Windows-1252 bytes, without their ends and without a byte order mark.

    Raises `UnreadableBook` for UTF-16 that breaks off.
    """
    if encoding := _utf_16(data[:4096]):
        try:
            data = data.decode(encoding).encode()
        except UnicodeError:
            raise UnreadableBook("The file says it is UTF-16 but is damaged. Export it again.") from None
    return data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")


def _utf_16(begin: bytes) -> str:
    """The UTF-16 that a file is in, by its byte order mark or by the zeros of its plain letters; "" if it is not."""
    if begin.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    half = len(begin) // 2
    if half >= 4 and begin[1::2].count(0) > half * 0.4 and not begin[::2].count(0):
        return "utf-16-le"
    if half >= 4 and begin[::2].count(0) > half * 0.4 and not begin[1::2].count(0):
        return "utf-16-be"
    return ""


def decode_lines(lines: Iterable[tuple[int, bytes]]) -> tuple[list[tuple[int, str]], tuple[str, ...]]:
    """Numbered lines as text, and notices. Each line is UTF-8, or failing that Windows-1252.

    Line by line, because books put together from several sources mix the two. Raises `UnreadableBook` for a
    line that is neither.
    """
    decoded: list[tuple[int, str]] = []
    guessed: list[int] = []
    for number, line in lines:
        try:
            decoded.append((number, line.decode("utf-8")))
        except UnicodeDecodeError:
            guessed.append(number)
            decoded.append((number, _from_windows(line, number)))
    if not guessed:
        return decoded, ()
    return decoded, (f"{name_rows('Line', guessed)} not UTF-8, read as Windows-1252: look at the accented letters.",)


def _from_windows(line: bytes, number: int) -> str:
    try:
        return line.decode("cp1252")
    except UnicodeDecodeError:
        raise UnreadableBook(
            f"Line {number} is neither UTF-8 nor Windows-1252 text. Save the file as UTF-8 and try again."
        ) from None


def name_rows(noun: str, numbers: list[int]) -> str:
    """`Line 3`, `Lines 3 and 4`, `Lines 3, 4, 5 and 12 more`: a list that stays short."""
    shown = [str(number) for number in numbers[:3]]
    if len(numbers) > 3:
        shown.append(f"{len(numbers) - 3} more")
    if len(shown) == 1:
        return f"{noun} {shown[0]}"
    return f"{noun}s {', '.join(shown[:-1])} and {shown[-1]}"


def clean_line(text: str) -> str:
    """One line: composed letters, no direction marks, single blanks. NUL and its like stay, to be refused."""
    return " ".join(unicodedata.normalize("NFC", text).translate(_UNSEEN).split())


def clean_lines(text: str) -> str:
    """The same for text of several lines, stripped of blank lines at the ends and blanks around each line."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return "\n".join(clean_line(line) for line in lines).strip("\n")


def join_lines(parts: Iterable[str]) -> str:
    """The parts that are not empty, one per line."""
    return "\n".join(part for part in parts if part)


def format_address(*, street: str, more: str, city: str, region: str, postcode: str, country: str) -> str:
    """Postal lines of the parts given; any of them may be empty."""
    region_line = " ".join(part for part in (region, postcode) if part)
    return join_lines([street, more, ", ".join(part for part in (city, region_line) if part), country])


def make_card(
    *,
    row: int,
    name: str,
    company: str = "",
    person: str = "",
    phones: Iterable[tuple[str, str]] = (),
    emails: Iterable[tuple[str, str]] = (),
    addresses: Iterable[tuple[str, str]] = (),
    notes: str = "",
    tax_exempt: bool = False,
    exempt_reason: str = "",
    language: Language | None = None,
    uid: str = "",
    faults: Iterable[CardFault] = (),
) -> Card:
    """A card from what a reader found; phones, e-mails and addresses as (label, value), best first.

    A business pays for itself: `company`, when given, is the customer's name, with the person beside it.
    What does not fit the customer's two phones, one e-mail and one address goes to the notes, so that nothing is lost.
    """
    name, company, person = clean_line(name), clean_line(company), clean_line(person)
    if company:
        name, person = company, person or (name if name.casefold() != company.casefold() else "")
    emails = list(emails)
    kept_phones = _unique(phones, clean_line)
    kept_emails = _unique(emails, clean_line)
    kept_addresses = _unique(addresses, clean_lines)
    extra = [
        *(_extra("phone", label, value) for label, value in kept_phones[2:]),
        *(_extra("e-mail", label, value) for label, value in kept_emails[1:]),
        *(_extra("address", label, value.replace("\n", ", ")) for label, value in kept_addresses[1:]),
    ]
    card = Card(
        row=row,
        name=name,
        person=person,
        phone=kept_phones[0][1] if kept_phones else "",
        second_phone=kept_phones[1][1] if len(kept_phones) > 1 else "",
        email=kept_emails[0][1] if kept_emails else "",
        address=kept_addresses[0][1] if kept_addresses else "",
        notes=join_lines([clean_lines(notes), *extra]),
        tax_exempt=tax_exempt,
        exempt_reason=clean_line(exempt_reason),
        language=language,
        phones=tuple(value for _, value in kept_phones),
        emails=tuple(value for _, value in kept_emails),
        uid=uid.strip(),
    )
    # On one line, the text after a line break would read as part of the address.
    if any(len(value.strip().splitlines()) > 1 for _, value in emails):
        words = "This e-mail address holds a line break. Put each address in a field of its own in the file."
        faults = (*faults, CardFault("email", "line_break", words))
    return replace(card, faults=(*faults, *_faults_of(card)))


def _unique(pairs: Iterable[tuple[str, str]], clean: Callable[[str], str]) -> list[tuple[str, str]]:
    kept: dict[str, str] = {}
    for label, value in pairs:
        if text := clean(value):
            kept.setdefault(text, clean_line(label).casefold())
    return [(label, value) for value, label in kept.items()]


def other_phone(number: str) -> str:
    """The line of the notes that keeps a number for which a customer has no field left."""
    return _extra("phone", "", number)


def _extra(noun: str, label: str, value: str) -> str:
    return f"Other {noun} ({label}): {value}" if label else f"Other {noun}: {value}"


def _faults_of(card: Card) -> list[CardFault]:
    faults = (
        [] if card.name else [CardFault("name", "missing", "There is no name here. Give it one, or leave the row out.")]
    )
    for field, limit in LIMITS.items():
        text: str = getattr(card, field)
        if any(ord(letter) in _CONTROL for letter in text):
            faults.append(
                CardFault(
                    field,
                    "control_characters",
                    "It holds characters that are not text. Type it again in the file.",
                )
            )
        elif len(text) > limit:
            faults.append(
                CardFault(
                    field,
                    "too_long",
                    f"It holds {len(text)} characters; {limit} is the most. Shorten it in the file.",
                )
            )
    return faults
