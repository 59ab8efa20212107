"""`benchmark labor` runs on a small scale; no figure is asserted, machines are noisy."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command
from pytest_django import Settings

from shopapi.benchmarks import labor, reminders


def test_labor_benchmark_prints_figures_and_ratios(
    db: None, settings: Settings, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    monkeypatch.setattr(labor, "SIZES", (40, 80))
    monkeypatch.setattr(labor, "A_JOB", 20)
    monkeypatch.setattr(reminders, "OPEN", 30)
    call_command("benchmark", "labor", json=tmp_path / "figures.json")
    kept = json.loads((tmp_path / "figures.json").read_text())
    assert set(kept["ratios"]) == {"week_ratio", "rounding_ratio", "quoted_ratio", "history_ratio"}
    printed = capsys.readouterr().out
    assert len(kept["figures"]) == 2 * len(kept["ratios"]) + 2
    for name, row in kept["figures"].items():
        assert 0 < row["min"] <= row["median"] <= row["max"]
        assert f"labor.{name} " in printed
