"""Characters in PDFs, and formats of numbers and dates: pure."""

from shopapi.documents.rules.fonts import (
    FACES,
    UNDRAWN,
    Face,
    box_undrawn,
    clean,
    families,
    name_points,
    page_words,
    undrawn_note,
)
from shopapi.documents.rules.number_format import Figures

__all__ = [
    "FACES",
    "UNDRAWN",
    "Face",
    "Figures",
    "box_undrawn",
    "clean",
    "families",
    "name_points",
    "page_words",
    "undrawn_note",
]
