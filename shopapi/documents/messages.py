"""English sentences of documents."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "paper_failed": (
        "This machine lacks the text library Pango, so no paper can be made. Install it (Debian:"
        " libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; macOS: pango) and make the paper again."
    ),
    "paper_not_made": "The paper was not made: {refused}.",
    "paper_gone": "This paper is not where it was kept; have it made again.",
    "paper_not_kept": "The paper could not be kept on this disk: {strerror}.",
}
