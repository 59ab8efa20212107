"""Imports every area's generators, which fills `GENERATORS`."""

from tests.replay.generators import bench, circuits, hours, quotes, rigs, runs, sheets, shop, teardown, testing, work
from tests.replay.generators.registry import FOLLOWS, GENERATORS

__all__ = [
    "FOLLOWS",
    "GENERATORS",
    "bench",
    "circuits",
    "hours",
    "quotes",
    "rigs",
    "runs",
    "sheets",
    "shop",
    "teardown",
    "testing",
    "work",
]
