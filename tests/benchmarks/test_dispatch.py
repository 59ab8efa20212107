"""`benchmark dispatch` prints its table and writes it as JSON; no figure of it is asserted."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from shopapi.benchmarks import dispatch as benchmark
from shopapi.planner.plan import plan_problem
from shopapi.planner.solver import Budget, Progress


def test_the_table_and_its_json(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Two small instances stand for all: the run takes minutes, and its shape is what is tested.
    known = json.loads((benchmark.ROUTING / "bks.json").read_text())
    few = tmp_path / "few"
    few.mkdir()
    (few / "bks.json").write_text(json.dumps({name: known[name] for name in ("tiny7_1", "rcdp1001")}))
    for name in ("tiny7_1", "rcdp1001"):
        (few / f"{name}.json").write_bytes((benchmark.ROUTING / f"{name}.json").read_bytes())
    monkeypatch.setattr(benchmark, "ROUTING", few)
    monkeypatch.setattr(benchmark, "_typical_day", lambda *_: None)
    out, file = StringIO(), tmp_path / "rows.json"

    call_command("benchmark", "dispatch", "--seconds", "0.4", "--grow", "10", "--json", str(file), stdout=out)

    found = json.loads(file.read_text())
    of_one = {name.rpartition(".")[2] for name in found["figures"] if name.startswith("rcdp1001.")}
    assert of_one == {"cost", "gap", "seconds", "plain_gap"}
    assert {"mean.gap", "mean.plain_gap", "grow_10.first"} <= found["figures"].keys()
    assert {"rcdp1001.ratio", "mean.ratio"} <= found["ratios"].keys()
    assert all(f"dispatch.{name}" in out.getvalue() for name in [*found["figures"], *found["ratios"]])


def test_typical_day_has_a_first_plan_soon_and_ends_in_time() -> None:
    shown: list[float] = []

    def watch(progress: Progress) -> bool:
        shown.append(progress.share)
        return True

    plan = plan_problem(benchmark.typical_day(), Budget(seconds=1), watch=watch)

    assert plan.feasible
    # An answer is shown within the first half of even one second.
    assert shown[0] < 0.5
