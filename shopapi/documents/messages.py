"""English sentences of documents."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "pdf_failed": (
        "This server lacks the text library Pango, so no PDF can be made. Install it (Debian:"
        " libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; macOS: pango) and make the PDF again."
    ),
    "pdf_not_made": "The PDF wasn't made: {refused}.",
    "pdf_gone": "This PDF is missing; make it again.",
    "pdf_not_stored": "The PDF couldn't be saved on this disk: {strerror}.",
}
