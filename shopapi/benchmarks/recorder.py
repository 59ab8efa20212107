"""Figures as `benchmark` prints them: `name.figure  min  median  max  unit`, then ratios of the same run."""

import json
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median

REPEATS = 5
# Of shops that hold nothing of anybody.
PASSWORD = "three benches and a ruler"  # noqa: S105


class Recorder:
    """Measures and records durations. Machines are noisy: compare growth within one run."""

    def __init__(self, name: str, say: Callable[[str], object]) -> None:
        self.name = name
        self.say = say
        self.rows: dict[str, dict[str, float | str]] = {}
        self.ratios: dict[str, float] = {}

    def measure(self, figure: str, work: Callable[[], object]) -> float:
        """Warm up once, run five times, print; returns the median in milliseconds."""
        work()
        took = sorted(_milliseconds(work) for _ in range(REPEATS))
        least, middle, most = took[0], median(took), took[-1]
        self.rows[figure] = {"min": least, "median": middle, "max": most, "unit": "ms"}
        self.say(f"{self.name}.{figure:34} {least:10.1f} {middle:10.1f} {most:10.1f}  ms")
        return middle

    def add(self, figure: str, values: Sequence[float], unit: str) -> None:
        """Add values measured elsewhere."""
        least, middle, most = min(values), median(values), max(values)
        self.rows[figure] = {"min": least, "median": middle, "max": most, "unit": unit}
        self.say(f"{self.name}.{figure:34} {least:10.2f} {middle:10.2f} {most:10.2f}  {unit}")

    def ratio(self, figure: str, value: float) -> None:
        self.ratios[figure] = value
        self.say(f"{self.name}.{figure:34} {value:10.3f}")

    def write_to(self, path: Path) -> None:
        """Write all figures as JSON."""
        found = {"name": self.name, "figures": self.rows, "ratios": self.ratios}
        path.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


def _milliseconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000
