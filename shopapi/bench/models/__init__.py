"""Rows of the bench."""

from shopapi.bench.models.cautions import CautionSeen
from shopapi.bench.models.checks import Check, CheckList
from shopapi.bench.models.circuit import Circuit, CircuitObservation

__all__ = ["CautionSeen", "Check", "CheckList", "Circuit", "CircuitObservation"]
