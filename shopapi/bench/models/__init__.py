"""Rows of the bench."""

from shopapi.bench.models.cautions import CautionSeen
from shopapi.bench.models.checks import Check, CheckList

__all__ = ["CautionSeen", "Check", "CheckList"]
