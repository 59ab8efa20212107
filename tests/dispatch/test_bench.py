"""`bench dispatch` prints its table and writes it as JSON; no figure of it is asserted."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from shopapi.config.bench import dispatch as bench_dispatch
from shopapi.dispatch.rules.solve import Budget
from shopapi.dispatch.services.planning import plan_problem


def test_the_table_and_its_json(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Two small instances stand for all: the run takes minutes, and its shape is what is tested.
    known = json.loads((bench_dispatch.ROUTING / "bks.json").read_text())
    few = tmp_path / "few"
    few.mkdir()
    (few / "bks.json").write_text(json.dumps({name: known[name] for name in ("tiny7_1", "rcdp1001")}))
    for name in ("tiny7_1", "rcdp1001"):
        (few / f"{name}.json").write_bytes((bench_dispatch.ROUTING / f"{name}.json").read_bytes())
    monkeypatch.setattr(bench_dispatch, "ROUTING", few)
    monkeypatch.setattr(bench_dispatch, "_typical_day", lambda *_: None)
    out, file = StringIO(), tmp_path / "rows.json"

    call_command("bench", "dispatch", "--seconds", "0.4", "--grow", "10", "--json", str(file), stdout=out)

    found = json.loads(file.read_text())
    of_one = {name.rpartition(".")[2] for name in found["figures"] if name.startswith("rcdp1001.")}
    assert of_one == {"cost", "gap", "seconds", "plain_gap"}
    assert {"mean.gap", "mean.plain_gap", "grow_10.first"} <= found["figures"].keys()
    assert {"rcdp1001.ratio", "mean.ratio"} <= found["ratios"].keys()
    assert all(f"dispatch.{name}" in out.getvalue() for name in [*found["figures"], *found["ratios"]])


def test_a_typical_day_is_answered_at_once_and_planned_in_time() -> None:
    shown: list[float] = []
    plan = plan_problem(
        bench_dispatch.typical_day(), Budget(seconds=1), watch=lambda progress: shown.append(progress.share) or True
    )

    assert plan.feasible
    # An answer is shown within the first half of even one second.
    assert shown[0] < 0.5
