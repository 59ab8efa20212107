"""`benchmark bench` runs; no figure is asserted, machines are noisy."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command

from shopapi.bench.rules.put_back import OrderStep, put_back_order
from shopapi.benchmarks.bench import OBSERVATIONS, STEPS, fourteen_parts, observed, taken_apart


def test_bench_benchmark_prints_both_languages(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("benchmark", "bench", json=tmp_path / "figures.json")
    kept = json.loads((tmp_path / "figures.json").read_text())["figures"]
    for name in ("without_fault", "one_fault", "two_faults", "put_back_order"):
        assert {f"python_{name}", f"phone_code_{name}"} <= kept.keys()
    assert "bench.phone_code_one_fault" in capsys.readouterr().out


def test_what_is_measured_has_its_size() -> None:
    circuit = fourteen_parts()
    teardown = taken_apart(STEPS)
    order = put_back_order([OrderStep(**step) for step in teardown["steps"]], teardown["rules"])
    assert (len(order.order), order.circle, len(order.moved) > 0) == (300, (), True)
    assert (len(circuit.parts), len(observed(circuit, ["brake_start"]))) == (14, OBSERVATIONS)
