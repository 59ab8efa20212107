"""WeasyPrint without access to disk or network. Imported only where a PDF is rendered: it loads Pango."""

import logging
import re
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from warnings import catch_warnings

import pydyf
from fontTools.ttLib import TTFont, woff2
from weasyprint import CSS, HTML, Document
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from shopapi.documents.rules import FACES, Face

# It logs a line per page and step, of no use to an operator.
for chatty in ("fontTools", "weasyprint.progress"):
    logging.getLogger(chatty).setLevel(logging.WARNING)

# The flag of an annotation that is printed.
PRINTED = 4
# "5:00 PM" stays on one line. Not so in `Figures`: a text message with the sign in it costs twice as much.
_TIME = re.compile(r"(?<=\d:\d\d) (?=[AaPp]\.?[Mm]\b)")
_NO_BREAK = "\u00a0"
_FONTS = Path(__file__).parent.parent / "fonts"


@cache
def _unpacked(file: str) -> bytes:
    """The bytes of a font, cached: unpacking the large ones takes a second or two."""
    unpacked = BytesIO()
    woff2.decompress(BytesIO((_FONTS / file).read_bytes()), unpacked)
    return unpacked.getvalue()


@cache
def _drawn_by(file: str) -> frozenset[int]:
    with TTFont(BytesIO(_unpacked(file))) as font:
        return frozenset(font.getBestCmap())


def _faces_for(text: str) -> Iterator[Face]:
    """The faces that `text` needs: each is the best one for at least one of its letters."""
    wanted = {ord(letter) for letter in text if not letter.isspace()}
    for family in dict.fromkeys(face.family for face in FACES):
        weights = [face for face in FACES if face.family == family]
        drawn = _drawn_by(weights[0].file)
        if wanted & drawn:
            yield from weights
            wanted -= drawn
        if not wanted:
            return


class _ShutFetcher(URLFetcher):  # type: ignore[misc] # WeasyPrint has no types
    """Serves our fonts by name and refuses anything else, on disk or on a network."""

    def __init__(self) -> None:
        super().__init__()
        self.refused: list[str] = []

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        files = {f"font:{face.file}": face.file for face in FACES}
        if url not in files:
            self.refused.append(url)
            raise FatalURLFetchingError
        return URLFetcherResponse(url, _unpacked(files[url]), {"Content-Type": "font/ttf"})


def print_html(html: str) -> tuple[bytes, frozenset[int]]:
    """`html` as a tagged PDF, and the code points that no font on this machine could draw.

    Raises PermissionError when the page asks for anything but our fonts.
    """
    html = _TIME.sub(_NO_BREAK, html)
    fetcher, fonts, undrawn = _ShutFetcher(), FontConfiguration(), set[int]()

    def finish(document: Document, pdf: pydyf.PDF) -> None:
        for font in document.fonts.values():
            undrawn.update(font.missing)
        # What PDF/A-3 asks of pages (ISO 19005-3), so that an invoice file can be made of any PDF: the output intent
        # is one of PDF/A (6.2.3), links are printed (6.3.2).
        for intent in pdf.catalog["OutputIntents"]:
            intent["S"] = "/GTS_PDFA1"
        for one in pdf.objects:
            if isinstance(one, dict) and one.get("Type") == "/Annot":
                one["F"] = PRINTED

    faces = "".join(
        f'@font-face {{ font-family: "{face.family}"; font-weight: {face.weight}; src: url("font:{face.file}") }}'
        for face in _faces_for(html)
    )
    # Most of a page ends at a refusal; a drawing swallows it, so the list is asked too. WeasyPrint leaves the file of
    # its colour profile to the garbage collector.
    with suppress(FatalURLFetchingError), catch_warnings(action="ignore", category=ResourceWarning):
        pdf: bytes = HTML(string=html, url_fetcher=fetcher).write_pdf(
            stylesheets=[CSS(string=faces, font_config=fonts, url_fetcher=fetcher)],
            font_config=fonts,
            finisher=finish,
            pdf_variant="pdf/ua-1",
            output_intent="srgb",
            pdf_identifier=sha256(html.encode()).hexdigest()[:32].encode(),
        )
    if fetcher.refused:
        raise PermissionError(f"a PDF may not fetch {fetcher.refused[0][:200]}")
    return pdf, frozenset(undrawn)
