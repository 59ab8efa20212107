"""`manage.py plan`: reads the neutral file, prints one line of JSON, or one line of text for an error."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from shopapi.launch.cli import main
from tests.planner.routing import BEST_KNOWN, ROUTING, payload


def run(file: Path, *arguments: str) -> dict[str, Any]:
    out = StringIO()
    call_command("plan", str(file), *arguments, stdout=out)
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def test_a_file_is_planned() -> None:
    answer = run(ROUTING / "tiny7_1.json", "--seconds", "60", "--seed", "3")

    assert sorted(answer) == ["cost", "feasible", "routes", "seconds"]
    assert (answer["cost"], answer["feasible"]) == (BEST_KNOWN["tiny7_1"]["cost"], True)
    # A small day is proven best, and nothing is searched after that.
    assert answer["seconds"] < 60
    assert all(sorted(route) == ["trips", "vehicle"] for route in answer["routes"])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"vehicles": []}, "vehicles: Give one vehicle at least."),
        ({"depot": {"x": 0, "y": 0, "tw": [5, 1]}}, "depot.tw: This ends before it begins. Correct the two figures."),
        ({"matrix": [[0]]}, "matrix: Give a matrix of 8 rows of 8 figures: the depot, then the clients in order."),
        ({"wheels": 4}, "wheels: Unknown field; leave it out."),
        ({"rule": "taxi"}, "rule: Input should be 'nint', 'floor' or 'matrix'."),
    ],
)
def test_invalid_file_is_one_line_that_names_the_field(change: dict[str, Any], words: str, tmp_path: Path) -> None:
    file = tmp_path / "day.json"
    file.write_text(json.dumps(payload("tiny7_1") | change))

    with pytest.raises(CommandError) as refusal:
        run(file)
    assert str(refusal.value) == f"{file}: {words}"


def test_negative_weights_and_doubled_clients_are_named(tmp_path: Path) -> None:
    file = tmp_path / "day.json"
    day = payload("tiny7_1")
    day["clients"][2]["delivery"][0] = -5
    file.write_text(json.dumps(day))
    with pytest.raises(CommandError, match=r"clients\.2\.delivery\.0"):
        run(file)
    day["clients"][2] = day["clients"][1]
    file.write_text(json.dumps(day))
    with pytest.raises(CommandError, match="clients: Two clients have the same id"):
        run(file)


def test_missing_file_or_invalid_json_is_reported(tmp_path: Path) -> None:
    file = tmp_path / "day.json"
    with pytest.raises(CommandError, match="cannot be read"):
        run(file)
    file.write_text("{")
    with pytest.raises(CommandError, match="is not JSON"):
        run(file)
    with pytest.raises(CommandError, match="above 0 and 3600 at most"):
        run(file, "--seconds", "0")


def test_runs_without_a_database(monkeypatch: pytest.MonkeyPatch) -> None:
    replaced: list[tuple[list[str], dict[str, str]]] = []
    monkeypatch.delenv("DATABASE_URL", raising=False)
    monkeypatch.setattr("os.execve", lambda _path, line, environment: replaced.append((line, environment)))

    main(["plan", "day.json"])

    line, environment = replaced[0]
    assert line[1:] == ["-m", "django", "plan", "day.json"]
    assert environment["DATABASE_URL"].endswith("/nothing")
