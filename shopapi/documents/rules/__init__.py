"""What may stand on a paper and how a shop writes figures: pure."""

from shopapi.documents.rules.figures import Figures
from shopapi.documents.rules.letters import FACES, UNDRAWN, Face, box_undrawn, clean, families, name_points

__all__ = ["FACES", "UNDRAWN", "Face", "Figures", "box_undrawn", "clean", "families", "name_points"]
