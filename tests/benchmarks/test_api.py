"""`benchmark api` runs on a small scale; no figure is asserted, machines are noisy."""

import pytest

from shopapi.benchmarks import api
from shopapi.benchmarks.recorder import Recorder
from tests.site import LiveSite


def test_api_benchmark_measures_both_sides(live_site: LiveSite, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {"REQUESTS": 32, "ROUNDS": 1, "CUSTOMERS": 60}.items():
        monkeypatch.setattr(api, name, value)
    printed: list[str] = []
    figures = Recorder("api", printed.append)
    api.measure_api(figures, live_site.environment)
    assert set(figures.ratios) == {f"{name}.bare_per_api" for name in ("list", "detail", "create")}
    assert all(ratio > 0 for ratio in figures.ratios.values())
    assert set(figures.rows) == {
        f"{name}.{side}.{figure}"
        for name in ("list", "detail", "create")
        for side in ("api", "bare")
        for figure in ("rate", "p95")
    }
    assert len(printed) == 15


def test_what_is_measured_has_its_size() -> None:
    assert (api.CLIENTS, api.REQUESTS, api.ROUNDS, api.CUSTOMERS) == (16, 1_600, 5, 1_000)
