"""Phone and server report the same field errors: rows of the shared vectors, mutated at random."""

import json
import subprocess
from collections import Counter
from copy import deepcopy
from pathlib import Path
from random import Random
from typing import Any

from tests.api.test_field_vectors import VECTORS, field_errors
from tests.replay.phone_replay import NODE

RUNNER = Path(__file__).with_name("checks.mts")
ROWS = 6_000
# What a time entry was for is chosen, not typed: the vectors hold all its combinations.
TYPED = ("machine", "rig", "stop", "yard")
TIMES = ("06:00", "12:30", "18:45", "24:00", "7:30", "")
NUMBERS = (-1, 0, 1, 2, 4, 5, 12, 13, 99, 100, 240, 241, 500, 501, 720, 721, 1879, 2201, 3000, 3001, 60_001)
LENGTHS = (0, 1, 60, 61, 120, 121, 2000, 4000, 4001)


def is_not_typed(name: str) -> bool:
    """Whether a field is picked from a list, or written by the phone itself."""
    return name in ("priority", "needs", "cause") or name.endswith(("_id", "_typed"))


def mutate(random: Random, record: Any) -> None:
    """Replace one value of a row, at any depth, by another of the same type that a person could type."""
    at = random.choice(
        [name for name in record if not is_not_typed(name)] if isinstance(record, dict) else range(len(record))
    )
    inner = record[at]
    if isinstance(inner, dict | list) and inner and random.random() < 0.8:
        mutate(random, inner)
    elif isinstance(inner, list):
        record[at] = inner * random.choice((0, 2, 6, 12))
    elif isinstance(inner, int) and not isinstance(inner, bool):
        record[at] = random.choice(NUMBERS)
    elif isinstance(inner, str):
        record[at] = mutated_text(random, inner)


def mutated_text(random: Random, text: str) -> str:
    if len(text) == 5 and text[2] == ":":
        return random.choice(TIMES)
    if text[4:5] == text[7:8] == "-":
        return text[:8] + random.choice(("01", "15", "28")) + text[10:]
    if text.lstrip("-").replace(".", "", 1).isdigit():
        return random.choice(("0", "-90", "90.5", "180", "-180.25", "45.125"))
    return "x" * random.choice(LENGTHS)


def test_phone_and_server_report_the_same_field_errors() -> None:
    random = Random(20261129)  # noqa: S311 - a fixed draw, no secret
    cases = []
    for _ in range(ROWS):
        of = random.choice(TYPED)
        row = deepcopy(VECTORS["bases"][of])
        for _ in range(random.choice((1, 1, 2, 3))):
            mutate(random, row)
        cases.append({"of": of, "row": row})
    ran = subprocess.run(
        [NODE, RUNNER],
        input="".join(json.dumps(case) + "\n" for case in cases),
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
        timeout=120,
    )
    theirs = [json.loads(line) for line in ran.stdout.strip("\n").split("\n")]
    outcomes: Counter[tuple[str, bool]] = Counter()
    for case, their in zip(cases, theirs, strict=True):
        ours = field_errors(case["of"], case["row"])
        assert their == ours, json.dumps(case)
        outcomes[case["of"], bool(ours)] += 1
    # Useful only while both outcomes are common for each.
    assert min(outcomes[of, refused] for of in TYPED for refused in (True, False)) > ROWS / 20
