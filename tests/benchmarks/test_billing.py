"""`benchmark billing` runs; no figure is asserted, machines are noisy."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command

from shopapi.benchmarks import billing


def test_billing_benchmark_prints_both_languages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(billing, "INVOICES", 20)
    monkeypatch.setattr(billing, "REGISTER_LINES", 800)
    call_command("benchmark", "billing", json=tmp_path / "figures.json")
    kept = json.loads((tmp_path / "figures.json").read_text())["figures"]
    assert {"python_totals", "phone_code_totals", "line_register_of_800", "journal_of_40_invoices"} <= kept.keys()
    assert "billing.phone_code_totals" in capsys.readouterr().out


def test_what_is_measured_has_its_size() -> None:
    assert (billing.INVOICES, billing.LINES, billing.REGISTER_LINES) == (1_000, 20, 100_000)
    assert len(billing.invoice_lines(7)) == 20
