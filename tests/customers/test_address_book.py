"""Address books read from real forms: RFC 6350 and RFC 4180, checked against vobject, and under abuse."""

import contextlib
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from shopapi.customers.rules import address_book
from shopapi.customers.rules.address_book import Book, Card, CardFault, UnreadableBook
from shopapi.customers.rules.address_csv import FIELDS, is_phone, read_csv
from shopapi.customers.rules.address_plan import (
    DuplicateAction,
    ImportOutcome,
    KnownCustomer,
    phone_digits,
    plan_import,
    same_phone,
)
from shopapi.customers.rules.address_vcard import parse_line, read_vcards

BOOKS = Path(__file__).parents[2] / "fixtures" / "address_books"


def vcard(*lines: str) -> bytes:
    """A file of one 4.0 card with these content lines."""
    return "\r\n".join(["BEGIN:VCARD", "VERSION:4.0", *lines, "END:VCARD", ""]).encode()


def only(book: Book) -> Card:
    (card,) = book.cards
    return card


# RFC 6350


def test_vcard_name_with_escaped_comma() -> None:
    """RFC 6350 section 6.2.1, FN, and 6.2.2, N (first example)."""
    card = only(read_vcards(vcard("FN:Mr. John Q. Public\\, Esq.", "N:Public;John;Quinlan;;Mr.,Esq.")))
    assert card == Card(row=1, name="Mr. John Q. Public, Esq.")


def test_vcard_name_from_components_when_fn_is_empty() -> None:
    """RFC 6350 section 6.2.2, N (second example: two further names, three suffixes)."""
    card = only(read_vcards(vcard("FN:", "N:Stevenson;John;Philip,Paul;Dr.;Jr.,M.D.,A.C.P.")))
    assert card.name == "John Philip Paul Stevenson Jr. M.D. A.C.P."


def test_vcard_folded_note() -> None:
    """RFC 6350 section 3.2: the three ways to write one NOTE, the folds in other places."""
    whole = "NOTE:This is a long description that exists on a long line."
    twice = "NOTE:This is a long description\r\n  that exists on a long line."
    thrice = "NOTE:This is a long descrip\r\n tion that exists o\r\n n a long line."
    notes = {only(read_vcards(vcard("FN:A B", form))).notes for form in (whole, twice, thrice)}
    assert notes == {"This is a long description that exists on a long line."}


def test_vcard_fold_inside_a_letter() -> None:
    """RFC 6350 section 3.2 allows a fold between the octets of one letter, and readers must undo it."""
    data = vcard("FN:Zoë Núñez").replace("ë".encode(), "ë".encode()[:1] + b"\r\n " + "ë".encode()[1:])
    assert only(read_vcards(data)).name == "Zoë Núñez"


def test_vcard_escapes() -> None:
    r"""RFC 6350 section 3.4: line breaks as \n or \N, escaped comma, semicolon and backslash."""
    card = only(read_vcards(vcard("FN:A B", r"NOTE:one\, two\; three\\four\nfive\Nsix")))
    assert card.notes == "one, two; three\\four\nfive\nsix"


def test_vcard_address_beats_its_label_and_label_stands_in() -> None:
    """RFC 6350 section 6.3.1, ADR with GEO and a LABEL of several lines, folded as printed there."""
    printed = (
        'ADR;GEO="geo:12.3457,78.910";LABEL="Mr. John Q. Public, Esq.\\n\r\n'
        " Mail Drop: TNE QB\\n123 Main Street\\nAny Town, CA  91921-1234\\n\r\n"
        ' U.S.A.":;;123 Main Street;Any Town;CA;91921-1234;U.S.A.'
    )
    assert only(read_vcards(vcard("FN:A B", printed))).address == "123 Main Street\nAny Town, CA 91921-1234\nU.S.A."
    label_only = printed.partition('U.S.A.":')[0] + 'U.S.A.":;;;;;;'
    assert only(read_vcards(vcard("FN:A B", label_only))).address == (
        "Mr. John Q. Public, Esq.\nMail Drop: TNE QB\n123 Main Street\nAny Town, CA 91921-1234\nU.S.A."
    )


def test_vcard_telephones() -> None:
    """RFC 6350 section 6.4.1: both TEL examples, the first with a quoted list of types and an extension."""
    card = only(
        read_vcards(
            vcard(
                "FN:A B",
                "TEL;VALUE=uri;TYPE=home:tel:+33-01-23-45-67",
                'TEL;VALUE=uri;PREF=1;TYPE="voice,home":tel:+1-555-555-5555;ext=5555',
            )
        )
    )
    assert (card.phone, card.second_phone, card.phones, card.notes) == (
        "+1-555-555-5555 ext. 5555",
        "+33-01-23-45-67",
        ("+1-555-555-5555 ext. 5555", "+33-01-23-45-67"),
        "",
    )


def test_a_third_telephone_goes_to_the_notes() -> None:
    tel = ("TEL;TYPE=cell:+1 208 555 0134", "TEL;TYPE=home:+1 208 555 0135", "TEL;TYPE=work:+1 208 555 0136")
    card = only(read_vcards(vcard("FN:A B", *tel)))
    assert (card.phone, card.second_phone) == ("+1 208 555 0134", "+1 208 555 0135")
    assert card.notes == "Other phone (work): +1 208 555 0136"


def test_vcard_emails() -> None:
    """RFC 6350 section 6.4.2: both EMAIL examples; the preferred one is kept."""
    card = only(
        read_vcards(vcard("FN:A B", "EMAIL;TYPE=work:jqpublic@xyz.example.com", "EMAIL;PREF=1:jane_doe@example.com"))
    )
    assert (card.email, card.notes) == (
        "jane_doe@example.com",
        "Other e-mail (work): jqpublic@xyz.example.com",
    )


def test_vcard_organisation_is_the_customer() -> None:
    """RFC 6350 section 6.6.4, ORG with two units, and 6.7.2, NOTE."""
    card = only(
        read_vcards(
            vcard(
                "FN:Jane Doe",
                "ORG:ABC\\, Inc.;North American Division;Marketing",
                "NOTE:This fax number is operational 0800 to 1715\r\n  EST\\, Mon-Fri.",
            )
        )
    )
    assert (card.name, card.person, card.notes) == (
        "ABC, Inc.",
        "Jane Doe",
        ("This fax number is operational 0800 to 1715 EST, Mon-Fri.\nDepartment: North American Division, Marketing"),
    )


def test_vcard_authors_card() -> None:
    """RFC 6350 section 8, the author's card, with invented name, numbers and hosts."""
    card = only(
        read_vcards(
            vcard(
                "FN:Simone Exemple",
                "N:Exemple;Simone;;;ing. jr,M.Sc.",
                "BDAY:--0203",
                "ANNIVERSARY:20090808T1430-0500",
                "GENDER:F",
                "LANG;PREF=1:fr",
                "LANG;PREF=2:en",
                "ORG;TYPE=work:Exemplaire",
                "ADR;TYPE=work:;Suite D2-630;2875 Grande Allée;\r\n Quebec;QC;G1V 2M2;Canada",
                'TEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-555-0154;ext=102',
                'TEL;VALUE=uri;TYPE="work,cell,voice,video,text":tel:+1-418-555-0101',
                "EMAIL;TYPE=work:simone@exemplaire.example",
                "GEO;TYPE=work:geo:46.772673,-71.282945",
                "KEY;TYPE=work;VALUE=uri:\r\n http://www.exemplaire.example/simone.asc",
                "TZ:-0500",
                "URL;TYPE=home:http://simone.example",
            )
        )
    )
    assert card == Card(
        row=1,
        name="Exemplaire",
        person="Simone Exemple",
        phone="+1-418-555-0154 ext. 102",
        email="simone@exemplaire.example",
        address="2875 Grande Allée\nSuite D2-630\nQuebec, QC G1V 2M2\nCanada",
        second_phone="+1-418-555-0101",
        phones=("+1-418-555-0154 ext. 102", "+1-418-555-0101"),
        emails=("simone@exemplaire.example",),
    )


def test_vcard_group_of_contacts_is_left_out() -> None:
    """RFC 6350 section 6.1.4, KIND:group (the MEMBER line shortened)."""
    book = read_vcards(vcard("KIND:group", "FN:The Doe family", "MEMBER:urn:uuid:03a0e51f") + vcard("FN:John Doe"))
    assert [card.name for card in book.cards] == ["John Doe"]
    assert book.notices == ("Card 1: a group of contacts, left out.", "Not taken from the cards: MEMBER.")


def test_vcard_caret_in_parameter() -> None:
    """RFC 6868 section 3.2 (from memory): ^n, ^^ and ^' inside a parameter."""
    assert parse_line("ADR;LABEL=\"a^nb ^'c^' ^^d\":").params == {"LABEL": ['a\nb "c" ^d']}


# vobject as somebody else's parser


def read_cards(text: str) -> Iterator[Any]:
    """Any: the parts of a card are known only once they are read."""
    return vobject.readComponents(text, allowQP=True)


def test_vcard_agrees_with_vobject_on_the_whole_file() -> None:
    """Names, numbers, e-mails and notes of every card but the group, as vobject 0.9.9 reads them."""
    text = (BOOKS / "phone_contacts.vcf").read_text()
    theirs = [
        (
            one.org.value[0] if "org" in one.contents else one.fn.value,
            {
                re.sub(r"\D", "", tel.value)
                for tel in one.contents.get("tel", ())
                if "fax" not in tel.params.get("TYPE", ())
            },
            {mail.value for mail in one.contents.get("email", ())},
            [line for note in one.contents.get("note", ()) for line in note.value.splitlines()],
        )
        for one in read_cards(text)
        if one.contents.get("member") is None
    ]
    ours = [
        (
            card.name,
            {re.sub(r"\D", "", phone) for phone in card.phones},
            set(card.emails),
            [line for line in card.notes.splitlines() if not re.match("Other |Fax: |Department: ", line)],
        )
        for card in read_vcards(text.encode()).cards
    ]
    assert ours == theirs


TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Zs"), include_characters=' ,;\\"'),
    max_size=60,
)


@given(name=TEXT, note=TEXT, street=TEXT)
def test_vcard_reads_what_vobject_writes(name: str, note: str, street: str) -> None:
    """Any words, escaped and folded by vobject 0.9.9 (as 3.0), come back as they were."""
    written = vobject.vCard()
    written.add("fn").value = "x" + name
    written.add("n").value = vobject.vcard.Name(family="x")
    written.add("note").value = "x" + note
    written.add("adr").value = vobject.vcard.Address(street="x" + street)
    card = only(read_vcards(written.serialize().encode()))
    clean = address_book.clean_line
    assert (card.name, card.notes, card.address) == (
        clean("x" + name),
        clean("x" + note),
        clean("x" + street),
    )


# Tables


def test_csv_shop_list() -> None:
    """Every row of the invented list, whole."""
    book = read_csv((BOOKS / "shop_list.csv").read_bytes(), {"gate code": "notes"})
    assert book == Book(
        (
            Card(
                row=2,
                name="Harrow Lane Orchards",
                person="Winnie Stroud",
                phone="555-014-2219",
                second_phone="(555) 014-2210",
                email="winnie@harrowlane.example",
                address="118 Harrow Lane\nPellan Mills, MO 64000",
                notes="Pays by check.\nCall before seven.\nGate code: 4471",
                tax_exempt=True,
                exempt_reason="Farm use certificate on file",
                phones=("555-014-2219", "(555) 014-2210"),
                emails=("winnie@harrowlane.example",),
            ),
            Card(
                row=3,
                name="Tobias Quill",
                phone="555 014 2231",
                address="9 Cooper St\nPellan Mills, MO 64000",
                notes="Dog is loud, not mean",
                phones=("555 014 2231",),
            ),
            Card(
                row=4,
                name="Ashby, Lorna",
                phone="555.014.2240",
                email="lorna.ashby@mail.example",
                address='"The Old Dairy", 4 Kiln Rd\nSenter, MO 64011',
                phones=("555.014.2240",),
                emails=("lorna.ashby@mail.example",),
            ),
            Card(row=5, name="Quill Tobias", notes="Same man twice?"),
            Card(
                row=6,
                name="",
                phone="555 014 2299",
                notes="no name on this one",
                phones=("555 014 2299",),
                faults=(CardFault("name", "missing", "There is no name here. Give it one, or leave the row out."),),
            ),
            Card(
                row=7,
                name="Mike the roofer",
                phone="555 014 2266",
                email="mike@roofs.example",
                phones=("555 014 2266",),
                emails=("mike@roofs.example",),
                faults=(CardFault("tax_exempt", "not_yes_or_no", "It says neither yes nor no. Write yes or no."),),
            ),
        ),
        (),
    )


def test_csv_windows_letters_and_semicolons() -> None:
    book = read_csv((BOOKS / "semicolons_windows.csv").read_bytes(), {"Vorname": "given"})
    assert [(card.name, card.person, card.phone, card.address) for card in book.cards] == [
        ("Jörg Brändle", "", "+49 7000 555 012", "Mühlweg 3\nHinterzell, 79999\nGermany"),
        (
            "Domaine de la Brosse",
            "Zoë d\u2019Aubrac",
            "+33 6 99 00 55 13",
            "4 rue du Pré\nSaint-Avel, 86999\nFrance",
        ),
    ]
    assert book.notices == ("Lines 2 and 3 not UTF-8, read as Windows-1252: look at the accented letters.",)


def test_csv_tabs_in_utf_16() -> None:
    book = read_csv((BOOKS / "tabs_utf16.csv").read_bytes())
    assert [(card.name, card.phone, card.notes) for card in book.cards] == [
        ("Øyvind Løken", "+47 99 55 01 23", "Snow machine only"),
        ("Æsa Þórs", "+354 555 0199", ""),
    ]


def test_csv_lines_of_two_encodings() -> None:
    """A list put together from two files keeps both sets of letters."""
    book = read_csv("name\nZoë\n".encode() + "Jörg\n".encode("cp1252"))
    assert [card.name for card in book.cards] == ["Zoë", "Jörg"]
    assert book.notices == ("Line 3 not UTF-8, read as Windows-1252: look at the accented letters.",)


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Customer Name", "name"),
        ("FULL NAME", "name"),
        ("E-mail Address", "email"),
        ("E-mail 1 - Value", "email"),
        ("Phone 2 - Value", "phone"),
        ("Work phone", "phone"),
        ("Cell", "mobile"),
        ("Address 1 - City", "city"),
        ("Address 2", "more"),
        ("Address", "address"),
        ("Business State", "region"),
        ("ZIP/Postal Code", "postcode"),
        ("Tax-exempt?", "tax_exempt"),
        ("Rémarks", "notes"),
        ("Birthday", ""),
    ],
)
def test_csv_header_in_peoples_words(header: str, field: str) -> None:
    value = "yes" if field == "tax_exempt" else "some@thing"
    named = "Surname" if field == "name" else "Name"
    book = read_csv(f'{named};"{header}"\nAda;{value}\n'.encode())
    card = only(book)
    found = {
        "name": card.name,
        "email": card.email,
        "phone": card.phone,
        "mobile": card.phone,
        "notes": card.notes.removeprefix(f"{header}: "),
        "tax_exempt": "yes" if card.tax_exempt else "",
    }
    if field:
        assert found.get(field, card.address) == value
        assert book.notices == ()
    else:
        assert card == Card(row=2, name="Ada")
        assert book.notices == (f'Columns left out: {header}. To keep one: --map "{header}=notes".',)


def test_csv_second_address_goes_to_the_notes() -> None:
    book = read_csv(
        b"Name,Billing Street,Billing City,Shipping Street,Shipping City\nAda,1 High St,Wend,2 Low St,Orme\n"
    )
    assert (only(book).address, only(book).notes) == (
        "1 High St\nWend",
        "Other address (shipping): 2 Low St, Orme",
    )


CELL = st.text(st.characters(exclude_categories=("Cc", "Cs", "Cf"), include_characters="\n"), max_size=30)


@given(st.lists(st.tuples(CELL, CELL), min_size=1, max_size=8), st.sampled_from(",;\t"))
def test_csv_quoted_cells_come_back(rows: list[tuple[str, str]], mark: str) -> None:
    """Any cells, quoted as RFC 4180 section 2 says (rules 5 to 7), with line breaks in them."""
    quoted = [mark.join('"' + cell.replace('"', '""') + '"' for cell in ("x" + name, note)) for name, note in rows]
    book = read_csv(("\r\n".join([f"name{mark}notes", *quoted]) + "\r\n").encode())
    assert [(card.name, card.notes) for card in book.cards] == [
        (address_book.clean_line("x" + name), address_book.clean_lines(note)) for name, note in rows
    ]


# Abuse


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty. Export the address book again."),
        (b"name,phone\n", "The file holds a header and no rows. Export the address book again."),
        (
            b"ref,phone\n1,2\n",
            'No column holds a name. Columns: ref, phone. Say which does: --map "Column=name".',
        ),
        (
            b'name,notes\nAda,fine\nBob,"never closed\nCy,fine\n',
            "The row that begins on line 3 opens a quote and never closes it. Correct it in the file.",
        ),
        (
            b'name,notes\nAda,"a "quoted" word"\n',
            "The row that begins on line 2 has text after a closing quote, before ','. Double it.",
        ),
        (
            b"name,notes\nAda," + b"x" * 10_000_000 + b"\n",
            "The row that begins on line 2 has an endless cell, perhaps an unclosed quote. Correct it.",
        ),
        (
            b"name\nAda\nB\x81\n",
            "Line 3 is neither UTF-8 nor Windows-1252 text. Save the file as UTF-8 and try again.",
        ),
        (b"\xff\xfen\x00a\x00m", "The file says it is UTF-16 but is damaged. Export it again."),
        (
            b"name\n" + b"Ada\n" * 5_001,
            "The file holds more than 5000 rows, the most taken at once. Split it.",
        ),
        (
            b"x" * (address_book.MAX_BYTES + 1),
            "The file holds 32.0 MiB; 32 MiB is the most taken at once. Split it, or leave the pictures out.",
        ),
    ],
    ids=lambda value: "" if isinstance(value, bytes) else value[:30],
)
def test_csv_that_cannot_be_taken_says_why(data: bytes, words: str) -> None:
    with pytest.raises(UnreadableBook) as refused:
        read_csv(data)
    assert str(refused.value) == words


@pytest.mark.parametrize(
    ("mapping", "words"),
    [
        ({"Name": "shoe"}, f"--map: there is no field 'shoe'. Fields: {', '.join(FIELDS)}."),
        ({"Nmae": "name"}, "--map: the file has no column 'Nmae'. Columns: Name."),
    ],
)
def test_csv_mapping_that_fits_nothing_says_why(mapping: dict[str, str], words: str) -> None:
    with pytest.raises(UnreadableBook) as refused:
        read_csv(b"Name\nAda\n", mapping)
    assert str(refused.value) == words


@pytest.mark.parametrize(
    ("data", "faults"),
    [
        (
            b"name,notes\nAda,a\x00b\n",
            [
                (
                    "notes",
                    "control_characters",
                    "It holds characters that are not text. Type it again in the file.",
                )
            ],
        ),
        (
            b"name\n" + b"A" * 121 + b"\n",
            [("name", "too_long", "It holds 121 characters; 120 is the most. Shorten it in the file.")],
        ),
        (
            b"name,phone\nAda,1,2,3\n",
            [
                (
                    "row",
                    "too_many_cells",
                    "It has 4 cells and the header 2. Quote the cell with the extra mark.",
                )
            ],
        ),
    ],
)
def test_csv_row_that_cannot_be_taken_says_why(data: bytes, faults: list[tuple[str, str, str]]) -> None:
    assert only(read_csv(data)).faults == tuple(CardFault(*fault) for fault in faults)


@pytest.mark.parametrize(
    ("data", "field", "words"),
    [
        (
            b"BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Ada\r\n",
            "card",
            "It begins on line 1 and never ends (no END:VCARD). Export it again.",
        ),
        (
            vcard("FN:Ada", "no colon here"),
            "card",
            "Line 4: no colon ends the property name. Correct it or export it again.",
        ),
        (
            vcard("FN:Ada", 'TEL;TYPE="home:1'),
            "card",
            "Line 4: a quote opens and never closes. Correct it or export it again.",
        ),
        (
            vcard("FN:Ada", "NOTE:" + "x" * 10_000_000),
            "note",
            "Line 4 holds 10000000 characters. Shorten it in the file.",
        ),
        (
            vcard("FN:Ada", "x" * 10_000_000),
            "card",
            "Line 4: no colon ends the property name. Correct it or export it again.",
        ),
        (
            vcard("FN:A\0da"),
            "name",
            "It holds characters that are not text. Type it again in the file.",
        ),
        (
            vcard("FN:Ada", "NOTE;ENCODING=QUOTED-PRINTABLE;CHARSET=KLINGON:=C3"),
            "card",
            "Line 4: its text is not the KLINGON it says it is. Correct it or export it again.",
        ),
        (
            vcard("FN:Ada").replace(b"4.0", b"9.1"),
            "card",
            "It is vCard 9.1. Export it as 4.0 or 3.0.",
        ),
    ],
    ids=lambda value: "" if isinstance(value, bytes) else value[:30],
)
def test_vcard_that_cannot_be_taken_says_why(data: bytes, field: str, words: str) -> None:
    assert [(fault.field, fault.words) for fault in only(read_vcards(data)).faults] == [(field, words)]


def test_vcard_broken_card_leaves_the_others() -> None:
    data = b"BEGIN:VCARD\nVERSION:4.0\nFN:Broken\n" + vcard("FN:Whole")
    assert [(card.row, card.name, len(card.faults)) for card in read_vcards(data).cards] == [
        (1, "Broken", 1),
        (2, "Whole", 0),
    ]


def test_vcard_pictures_are_passed_over() -> None:
    picture = "PHOTO;ENCODING=b;TYPE=JPEG:" + "\r\n ".join(["Q" * 74] * 20_000)
    book = read_vcards(vcard("FN:Ada", picture))
    assert (only(book), book.notices) == (Card(row=1, name="Ada"), ("Not taken from the cards: PHOTO.",))


def test_file_without_a_card_says_why() -> None:
    with pytest.raises(UnreadableBook, match=r"^The file holds no vCard \(no line BEGIN:VCARD\)"):
        read_vcards(b"name,phone\nAda,1\n")


@given(st.binary(max_size=400) | st.text(alphabet='name,;:"\n\r\t =ABDEGINRVC.04\\\0', max_size=400).map(str.encode))
def test_no_bytes_break_the_readers(data: bytes) -> None:
    """Whatever comes, a reader gives a book or refuses it by name."""
    for read in (read_csv, read_vcards):
        with contextlib.suppress(UnreadableBook):
            assert isinstance(read(b"name\n" + data), Book)
            assert isinstance(read(vcard("FN:Ada") + data), Book)


# Duplicates


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("(555) 014-2210", "555.014.2210", True),
        ("+1 555 014 2210", "555-014-2210", True),
        ("+44 20 7946 0018", "020 7946 0018", True),
        ("0044 20 7946 0018", "+44 (0)20 7946 0018", False),
        ("555 014 2210 x12", "555 014 2210 ext. 40", True),
        ("555 014 2210", "555 014 2211", False),
        ("212 555 0100", "312 555 0100", False),
        ("555-0100", "212 555-0100", False),
        ("911", "911", False),
        ("", "", False),
    ],
)
def test_same_phone(one: str, other: str, *, same: bool) -> None:
    """The 7946 0018 numbers are from Ofcom's range for drama (from memory), the others invented."""
    assert same_phone(one, other) is same_phone(other, one) is same


@given(st.lists(st.sampled_from(["5550142210", "15550142210", "445550142210", "0142210", "550142210"]), max_size=6))
def test_a_book_finds_the_numbers_that_are_the_same(numbers: list[str]) -> None:
    known = [KnownCustomer(key=str(at), name=f"Known {at}", phone=number) for at, number in enumerate(numbers)]
    for card in read_csv(b"Name,Phone\nNew,5550142210\nNew,15550142210\nNew,0142210\nNew,550142210\n").cards:
        (step,) = plan_import([card], known)
        same = [one.key for one in known if same_phone(one.phone, card.phone)]
        assert (step.match.key if step.match else None) == (same[0] if same else None)


def test_a_book_of_numbers_with_the_same_end_takes_no_time_of_its_square() -> None:
    book = read_csv(b"Name,Phone\n" + b"".join(b"%08x,%d0142210\n" % (at * 7919, at) for at in range(1000, 5000)))
    assert len(book.cards) == 4000
    began = time.perf_counter()
    steps = plan_import(book.cards, [])
    assert not any("same phone" in step.match.why for step in steps if step.match)
    assert time.perf_counter() - began < 8, "27 s when each is compared with each"


def test_a_long_cell_is_no_number_and_is_not_examined() -> None:
    began = time.perf_counter()
    assert not any(is_phone("1" + " " * 4000 + "z") for _ in range(25))
    assert is_phone("+1 (555) 014-2210 ext. 40")
    assert time.perf_counter() - began < 1, "12 s when the whole cell is matched"


def test_phone_digits_as_any_script_types_them() -> None:
    assert phone_digits("\u0665\u0665\u0665 \u0660\u0661\u0664 \u0662\u0662\u0661\u0660 ext 7") == "5550142210"
    assert phone_digits("\uff15\uff15\uff15 \uff10\uff11\uff14 \uff12\uff12\uff11\uff10") == "5550142210"


SHOP = (
    KnownCustomer(
        "c1",
        "Harrow Lane Orchards",
        phone="555 014 2210",
        email="winnie@harrowlane.example",
        notes="Pays by check.",
    ),
    KnownCustomer("c2", "Tobias Quill", phone="555 014 2231"),
)


def cards(*rows: dict[str, str]) -> list[Card]:
    """Cards in rows 1, 2, ..."""
    return [
        address_book.make_card(
            row=number,
            name=row["name"],
            phones=[("", row.get("phone", ""))],
            emails=[("", row.get("email", ""))],
            notes=row.get("notes", ""),
        )
        for number, row in enumerate(rows, start=1)
    ]


@pytest.mark.parametrize(
    ("row", "match"),
    [
        ({"name": "Somebody Else", "phone": "+1 (555) 014-2210"}, ("c1", ("same phone",))),
        ({"name": "Somebody Else", "email": "WINNIE@harrowlane.example"}, ("c1", ("same e-mail",))),
        ({"name": "QUILL, Tobias"}, ("c2", ("near-same name",))),
        ({"name": "Tobias Quil"}, ("c2", ("near-same name",))),
        ({"name": "Tobais Quill"}, ("c2", ("near-same name",))),
        ({"name": "The Harrow Lane Orchards, Inc."}, ("c1", ("near-same name",))),
        ({"name": "Tobias Quill", "phone": "5550142231"}, ("c2", ("same phone", "near-same name"))),
        ({"name": "Tobias Quince", "phone": "555 014 2232"}, None),
        ({"name": "Harrow Lane Nursery"}, None),
    ],
)
def test_duplicate_of_a_customer(row: dict[str, str], match: tuple[str, tuple[str, ...]] | None) -> None:
    (step,) = plan_import(cards(row), SHOP)
    assert (step.match and (step.match.key, step.match.why)) == match
    assert step.does is (ImportOutcome.SKIP if match else ImportOutcome.ADD)


def test_duplicate_inside_the_file_is_found_and_handled_as_chosen() -> None:
    """Row 2 is row 1 again; row 3 is row 2's number once row 2 brought it."""
    rows = cards(
        {"name": "Ada Lovell", "email": "ada@lovell.example"},
        {
            "name": "A. Lovell",
            "email": "ada@lovell.example",
            "phone": "555 014 7001",
            "notes": "Bring a ramp.",
        },
        {"name": "Somebody Else", "phone": "555 014 7001"},
    )
    assert [step.does for step in plan_import(rows, ())] == [ImportOutcome.ADD, ImportOutcome.SKIP, ImportOutcome.ADD]
    assert [step.does for step in plan_import(rows, (), take=DuplicateAction.ADD)] == [
        ImportOutcome.ADD,
        ImportOutcome.ADD,
        ImportOutcome.ADD,
    ]
    steps = plan_import(rows, (), take=DuplicateAction.UPDATE, rows={3: DuplicateAction.SKIP})
    assert [(step.does, step.match and step.match.key, step.sets) for step in steps] == [
        (ImportOutcome.ADD, None, None),
        (ImportOutcome.UPDATE, "row 1", {"phone": ("", "555 014 7001"), "notes": ("", "Bring a ramp.")}),
        (ImportOutcome.SKIP, "row 1", None),
    ]


def test_update_keeps_a_number_that_is_the_customers_other_one() -> None:
    known = KnownCustomer("c1", "Tobias Quill", phone="555 014 2231", second_phone="555 014 2232")
    tel = [("", "+1 555 014 2232"), ("", "555 014 2299")]
    card = address_book.make_card(row=1, name="Tobias Quill", phones=tel)
    (step,) = plan_import([card], [known], take=DuplicateAction.UPDATE)
    assert (step.does, step.sets) == (ImportOutcome.UPDATE, {"notes": ("", "Other phone: 555 014 2299")})
    assert step.match is not None
    assert "same phone" in step.match.why


def test_update_fills_in_a_second_number() -> None:
    known = KnownCustomer("c1", "Tobias Quill", phone="555 014 2231")
    card = address_book.make_card(row=1, name="Tobias Quill", phones=[("", "555 014 2231"), ("", "555 014 2299")])
    (step,) = plan_import([card], [known], take=DuplicateAction.UPDATE)
    assert step.sets == {"second_phone": ("", "555 014 2299")}


def test_update_brings_what_is_new_and_never_the_name() -> None:
    (step,) = plan_import(
        cards(
            {
                "name": "Harrow Lane Orchard",
                "phone": "5550142210",
                "email": "office@harrowlane.example",
                "notes": "Ramp.",
            }
        ),
        SHOP,
        take=DuplicateAction.UPDATE,
    )
    assert (step.does, step.sets) == (
        ImportOutcome.UPDATE,
        {
            "email": ("winnie@harrowlane.example", "office@harrowlane.example"),
            "notes": ("Pays by check.", "Pays by check.\nRamp."),
        },
    )


@given(
    st.lists(st.sampled_from(["Ada Lovell", "Ada Lovel", "Bo Karr", "Cy Dunn"]), max_size=8),
    st.sampled_from(DuplicateAction),
)
def test_taking_a_file_twice_adds_no_one_unless_asked_to(names: list[str], take: DuplicateAction) -> None:
    """What one import added, the next one finds."""
    rows = cards(*({"name": name} for name in names))
    first = plan_import(rows, (), take=take)
    known = [KnownCustomer(f"c{step.card.row}", step.card.name) for step in first if step.does is ImportOutcome.ADD]
    again = plan_import(rows, known, take=take)
    assert {step.does for step in again} <= {ImportOutcome(take.value)}


@pytest.mark.parametrize(
    "header",
    [
        "Nachname;Vorname;Straße;PLZ;Ort;Telefon;E-Mail-Adresse",
        "Apellidos;Nombre;Calle;Código postal;Ciudad;Teléfono;Correo",
    ],
)
def test_german_and_spanish_headers_are_guessed(header: str) -> None:
    """Every column of an address book with headings in German or Spanish is guessed."""
    row = "Lovell;Ada;12 Mill Road;83702;Boise;555 014 7001;ada@lovell.example"
    card = only(read_csv(f"{header}\n{row}\n".encode()))
    assert (card.name, card.phone, card.email) == ("Ada Lovell", "555 014 7001", "ada@lovell.example")
    assert all(part in card.address for part in ("12 Mill Road", "83702", "Boise"))


def test_a_name_alone_in_spanish_is_the_name() -> None:
    """`Nombre` without a column of last names holds the whole name."""
    assert only(read_csv("Nombre,Teléfono\nAda Lovell,555 014 7001\n".encode())).name == "Ada Lovell"


def test_the_guard_of_a_former_table_is_taken_off() -> None:
    """Former tables put an apostrophe before telephone numbers with a plus; they are read as before."""
    assert only(read_csv(b"name,phone\nAda,'+1 555 014 7001\n")).phone == "+1 555 014 7001"
