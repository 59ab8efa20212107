"""`benchmark drain` runs on a small scale; no figure is asserted, machines are noisy."""

import pytest

from shopapi.benchmarks import drain
from shopapi.benchmarks.recorder import Recorder
from tests.site import LiveSite


def test_drain_benchmark_measures_others_alone_and_beside_the_queue(
    live_site: LiveSite, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in {"COMMANDS": 120, "OTHERS": 2, "ALONE_SECONDS": 0.5}.items():
        monkeypatch.setattr(drain, name, value)
    printed: list[str] = []
    figures = Recorder("drain", printed.append)
    drain.measure_drain(figures, live_site.environment)
    kinds = ("push", "list", "detail", "pull")
    sides = ("alone", "beside")
    assert set(figures.rows) == {"queue_of_120", "queue.rate"} | {f"others.{side}.p99" for side in sides} | {
        f"{kind}.{side}.{figure}" for kind in kinds for side in sides for figure in ("median", "p99")
    }
    assert set(figures.ratios) == {"others.p99_beside_per_alone"}
    assert all(row["min"] > 0 for row in figures.rows.values() if isinstance(row["min"], float))
    assert len(printed) == len(figures.rows) + len(figures.ratios)


def test_what_is_measured_has_its_size() -> None:
    assert (drain.COMMANDS, drain.OTHERS) == (5_000, 4)
