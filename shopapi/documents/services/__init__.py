"""Renders PDFs from a template and plain data. Knows no resource of the apps above."""

from collections.abc import Mapping

from django.template import Context, Engine

from shopapi.accounts.rules import PaperSize
from shopapi.core.errors import Unavailable
from shopapi.documents.rules import box_undrawn, clean, families, page_words, undrawn_note

_PAGE_SIZES: Mapping[PaperSize, str] = {"letter": "letter", "a4": "A4"}


class _Refuse(str):
    """Makes the template engine raise for a name that the data lacks; by default it prints nothing."""

    __slots__ = ()

    def __mod__(self, name: object) -> str:
        raise LookupError(f"the template names {name}, which the data lacks")


def render_pdf(template: str, data: Mapping[str, object], *, paper_size: PaperSize, language: str) -> bytes:
    """A tagged PDF (PDF/UA-1) of `template` filled with `data`, on sheets of `paper_size`, in `language` (BCP 47).

    The template extends `documents/pdf.html`. Whatever `data` holds is text, never markup. Nothing is
    read but the fonts shipped here and those of the machine, nothing is sent, and neither time nor randomness goes
    in: the same arguments give the same bytes on the same installation.

    Raises Unavailable `pdf_failed`, whose words give the reason, when a library is missing or the page
    asks for a file or an address; LookupError when the template names what the data lacks.
    """
    try:
        # Loads Pango, some 2 s and 60 MB: for the worker alone. A web process must run without it.
        from shopapi.documents.services.pdf import print_html  # noqa: PLC0415
    except OSError as error:
        raise Unavailable("pdf_failed") from error

    page = Engine(app_dirs=True, string_if_invalid=_Refuse("%s")).get_template(template)
    context = {
        **data,
        "paper_size": _PAGE_SIZES[paper_size],
        "language": language,
        "letters": families(),
        "serial_letters": families(serial=True),
        "page_words": page_words(language),
        "undrawn_note": "",
    }
    html = clean(page.render(Context(context)))
    try:
        pdf, undrawn = print_html(html)
        if undrawn:
            # A missing glyph breaks PDF/UA and is invisible to the reader: draw a box and log it.
            html = clean(page.render(Context(context | {"undrawn_note": undrawn_note(undrawn, language)})))
            pdf, _ = print_html(box_undrawn(html, undrawn))
    except PermissionError as refused:
        raise Unavailable("pdf_failed", message="pdf_not_made", context={"refused": str(refused)}) from refused
    return pdf
