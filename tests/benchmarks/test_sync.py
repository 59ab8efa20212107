"""`benchmark sync` runs on a small scale. No duration is asserted, machines are noisy; counts of statements are."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connections
from pytest_django import Settings

from shopapi.benchmarks import sync
from shopapi.core.audit_chain import breaks, heads

# The rows themselves, and what a chunk of 50 commands shares.
MOST_STATEMENTS = 1.6


def test_sync_benchmark_prints_figures_and_ratios(
    committed_db: None,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    monkeypatch.setattr(sync, "COMMANDS", 100)
    call_command("benchmark", "sync", rows=[600, 1300], json=tmp_path / "figures.json")
    kept = json.loads((tmp_path / "figures.json").read_text())
    assert set(kept["ratios"]) == {
        "again_per_push",
        "audit_event_per_event_without_chain",
        "delta_of_largest_per_smallest",
        "first_pull_per_plain_sql",
        "push_per_push_without_audit_chain",
    }
    # The trigger that makes the chain is on again, and nothing of the measurement is left.
    with connections["owner"].cursor() as cursor:
        cursor.execute("SELECT tgenabled FROM pg_trigger WHERE tgname = 'chain'")
        assert cursor.fetchall() == [("O",)]
    assert breaks(heads()) == []
    printed = capsys.readouterr().out
    assert {"push.rate", "pull_of_10.600", "pull_of_10.1300", "empty_pull.1300", "plain_sql"} <= kept["figures"].keys()
    for name, row in kept["figures"].items():
        assert 0 < row["min"] <= row["median"] <= row["max"]
        assert f"sync.{name} " in printed
    # Without what a chunk shares it was 7.3.
    assert kept["figures"]["push.statements_per_command"]["max"] < MOST_STATEMENTS
    assert kept["figures"]["first_pull.largest_page"]["max"] < 400_000
