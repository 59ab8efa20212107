"""`benchmark bench` runs; no figure is asserted, machines are noisy."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command

from shopapi.benchmarks.bench import OBSERVATIONS, fourteen_parts, observed


def test_bench_benchmark_prints_both_languages(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("benchmark", "bench", json=tmp_path / "figures.json")
    kept = json.loads((tmp_path / "figures.json").read_text())["figures"]
    for name in ("without_fault", "one_fault", "two_faults"):
        assert {f"python_{name}", f"phone_code_{name}"} <= kept.keys()
    assert "bench.phone_code_one_fault" in capsys.readouterr().out


def test_what_is_measured_has_its_size() -> None:
    circuit = fourteen_parts()
    assert (len(circuit.parts), len(observed(circuit, ["brake_start"]))) == (14, OBSERVATIONS)
