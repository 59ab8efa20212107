import unicodedata
from pathlib import Path

import pytest

import shopapi.documents
from shopapi.documents.rules import FACES, UNDRAWN, box_undrawn, clean, families, name_points

FONTS = Path(shopapi.documents.__file__).parent / "fonts"


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("plain\ttab\nline", "plain\ttab\nline"),
        ("a\x00b\x07c\x1b[31md\x7fe\x85f\r\n", "abc[31mdef\n"),
        ("12.00\u202e00.12\u202c", "12.0000.12"),
        ("\ufeffmark\ufdd0\uffff\U0010ffff", "mark"),
        ("half \ud83d pair", f"half {UNDRAWN} pair"),
        ("שלום\u200f \u2068abc\u2069", "שלום\u200f \u2068abc\u2069"),
        ("👩\u200d🔧", "👩\u200d🔧"),
    ],
)
def test_clean(typed: str, printed: str) -> None:
    assert clean(typed) == printed


def test_clean_removes_controls_and_unencodable_characters() -> None:
    everything = "".join(map(chr, range(0x110000)))
    left = clean(everything)
    left.encode()
    assert {sign for sign in left if unicodedata.category(sign) == "Cc"} == {"\n", "\t"}


def test_box_undrawn_and_their_names() -> None:
    assert box_undrawn("a中b", [0x4E2D]) == f"a{UNDRAWN}b"
    assert name_points({0x1F9F0, 0x4E2D}) == ["U+4E2D", "U+1F9F0"]
    assert name_points(range(0x4E00, 0x4E00 + 100))[-2:] == ["U+4E17", "76 more"]


def test_every_font_has_its_own_family_and_licence_and_all_are_small() -> None:
    files = {path.name for path in FONTS.iterdir()}
    fonts = {name for name in files if name.endswith(".woff2")}
    assert fonts == {face.file for face in FACES}
    assert len({(face.family, face.weight) for face in FACES}) == len(FACES)
    licences = {name.removeprefix("OFL-").removesuffix(".txt") for name in files if name.startswith("OFL-")}
    for font in fonts:
        assert any(font.startswith(f"{licence}-") for licence in licences), font
    assert files == fonts | {f"OFL-{licence}.txt" for licence in licences} | {"README.md"}
    for licence in licences:
        assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / f"OFL-{licence}.txt").read_text()
    assert sum(path.stat().st_size for path in FONTS.iterdir()) < 1_000_000


def test_families_are_ordered_by_preference() -> None:
    assert families().startswith('"Plain Zero", "Ticket", "Ticket Ext", ')
    # A serial has the zero of its main face.
    assert families(serial=True).startswith('"Ticket", "Ticket Ext", ')
    assert families().endswith('"Signs", "Pictures"')
