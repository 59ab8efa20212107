"""Imports every area's generators, which fills `GENERATORS`."""

from tests.replay.generators import hours, quotes, rigs, runs, shop, testing, work
from tests.replay.generators.registry import FOLLOWS, GENERATORS

__all__ = ["FOLLOWS", "GENERATORS", "hours", "quotes", "rigs", "runs", "shop", "testing", "work"]
