"""Imports every area's generators, which fills `GENERATORS`."""

from tests.replay.generators import (
    bench,
    circuits,
    closing,
    hours,
    invoices,
    orders,
    parts,
    payments,
    quotes,
    rigs,
    runs,
    sheets,
    shop,
    stock,
    teardown,
    testing,
    work,
)
from tests.replay.generators.registry import FOLLOWS, GENERATORS

__all__ = [
    "FOLLOWS",
    "GENERATORS",
    "bench",
    "circuits",
    "closing",
    "hours",
    "invoices",
    "orders",
    "parts",
    "payments",
    "quotes",
    "rigs",
    "runs",
    "sheets",
    "shop",
    "stock",
    "teardown",
    "testing",
    "work",
]
