"""Rows of the bench."""

from shopapi.bench.models.cautions import CautionSeen

__all__ = ["CautionSeen"]
