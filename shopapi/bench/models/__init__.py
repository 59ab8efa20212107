"""Rows of the bench."""

from shopapi.bench.models.cautions import CautionSeen
from shopapi.bench.models.checks import Check, CheckList
from shopapi.bench.models.circuit import Circuit, CircuitObservation
from shopapi.bench.models.gauges import Gauge
from shopapi.bench.models.labels import LabelSheet
from shopapi.bench.models.readings import Reading
from shopapi.bench.models.removal import Fastener, FastenerMove, PutBackRule, RemovalStep
from shopapi.bench.models.run_tests import RunTest

__all__ = [
    "CautionSeen",
    "Check",
    "CheckList",
    "Circuit",
    "CircuitObservation",
    "Fastener",
    "FastenerMove",
    "Gauge",
    "LabelSheet",
    "PutBackRule",
    "Reading",
    "RemovalStep",
    "RunTest",
]
