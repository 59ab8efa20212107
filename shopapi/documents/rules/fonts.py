"""Characters in PDFs: their fonts, those that are removed, those that no font has."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from shopapi.core.languages import ENGLISH, Language, Texts


@dataclass(frozen=True, slots=True)
class Face:
    """One font file, with its family and weight in style sheets."""

    family: str
    weight: int
    file: str


_ATKINSON = "atkinson-hyperlegible-next"
PLAIN_ZERO = "Plain Zero"
"""The zero without its slash, for everything but serials and numbers of papers."""
FACES = (
    *(Face(PLAIN_ZERO, w, f"{_ATKINSON}-plain-zero-{w}-normal.woff2") for w in (400, 700, 800)),
    *(Face("Ticket", w, f"{_ATKINSON}-latin-{w}-normal.woff2") for w in (400, 700, 800)),
    *(Face("Ticket Ext", w, f"{_ATKINSON}-latin-ext-{w}-normal.woff2") for w in (400, 700, 800)),
    *(Face("Greek", w, f"noto-sans-greek-{w}-normal.woff2") for w in (400, 700)),
    *(Face("Cyrillic", w, f"noto-sans-cyrillic-{w}-normal.woff2") for w in (400, 700)),
    *(Face("Vietnamese", w, f"noto-sans-vietnamese-{w}-normal.woff2") for w in (400, 700)),
    *(Face("Hebrew", w, f"noto-sans-hebrew-hebrew-{w}-normal.woff2") for w in (400, 700)),
    Face("Wide Latin", 400, "noto-sans-latin-ext-400-normal.woff2"),
    Face("Arabic", 400, "ibm-plex-sans-arabic-arabic-400-normal.woff2"),
    Face("Signs", 400, "noto-sans-math-latin-400-normal.woff2"),
    Face("Pictures", 400, "noto-emoji-emoji-400-normal.woff2"),
)
"""In the order of preference. One family per file: WeasyPrint 70 takes two files of one family and weight
for one font and draws the letters of the second with the shapes of the first."""

UNDRAWN = "□"
"""Drawn where no font has the character; the family "Signs" holds it."""

# Control characters except line break and tab, direction overrides (they make an amount read backwards), the
# byte-order mark and the noncharacters. Isolates and direction marks stay: names in two scripts need them.
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ufeff\ufdd0-\ufdef"
    + "".join(chr(plane << 16 | end) for plane in range(17) for end in (0xFFFE, 0xFFFF))
    + "]"
)
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")


def families(*, serial: bool = False) -> str:
    """The value of `font-family` that names every face, best first; `serial`: with the slashed zero."""
    named = dict.fromkeys(face.family for face in FACES)
    return ", ".join(f'"{family}"' for family in named if not serial or family != PLAIN_ZERO)


def clean(text: str) -> str:
    """`text` without control characters; half a surrogate pair becomes `UNDRAWN`."""
    return _LONE_SURROGATE.sub(UNDRAWN, _CONTROL.sub("", text))


def box_undrawn(text: str, undrawn: Iterable[int]) -> str:
    """`text` with each code point of `undrawn` replaced by `UNDRAWN`."""
    return text.translate(dict.fromkeys(undrawn, UNDRAWN))


TEXTS: Mapping[Language, Texts] = {
    "en": Texts(
        "en",
        {
            "undrawn": (
                "□ marks a character that could not be printed: {points}. The shop's records have it as typed."
            ),
            "more": "{count} more",
            "page": "Page {page} of {pages}",
        },
    ),
    "es": Texts(
        "es",
        {
            "undrawn": (
                "□ marca un carácter que no se pudo imprimir: {points}. El taller lo tiene guardado como se escribió."
            ),
            "more": "{count} más",
            "page": "Página {page} de {pages}",
        },
    ),
}


def _texts(language: str) -> Texts:
    return next((own for key, own in TEXTS.items() if key == language.partition("-")[0]), TEXTS[ENGLISH])


def page_words(language: str) -> list[str]:
    """What stands before the number of a page and between it and their count, in a language (BCP 47)."""
    return re.split(r"\d", _texts(language).say("page", page=1, pages=2))[:2]


def undrawn_note(points: Iterable[int], language: str) -> str:
    """The note below a page in a language (BCP 47) on the code points that no font could draw."""
    texts = _texts(language)
    return texts.say("undrawn", points=", ".join(name_points(points, texts)))


def name_points(points: Iterable[int], texts: Texts = TEXTS[ENGLISH]) -> list[str]:
    """Code points in the usual notation, ascending, the first 24 of them: [0x20AC] is ["U+20AC"]."""
    named = [f"U+{point:04X}" for point in sorted(points)]
    return named if len(named) <= 24 else [*named[:24], texts.say("more", count=len(named) - 24)]
