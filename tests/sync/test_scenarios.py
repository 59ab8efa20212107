"""The table of faults names a test for each of them, and each test named there exists."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TABLE = Path(__file__).with_name("scenarios.md")
ROWS = re.findall(r"^\| (\d+) \| (.+?) \| (.+) \|$", TABLE.read_text(encoding="utf-8"), flags=re.MULTILINE)


def test_every_fault_has_a_row() -> None:
    assert [int(number) for number, *_ in ROWS] == list(range(1, 51))


@pytest.mark.parametrize(("number", "fault", "named"), ROWS, ids=[number for number, *_ in ROWS])
def test_tests_of_a_fault_exist(number: str, fault: str, named: str) -> None:
    tests = re.findall(r"`([^`]+?)::([^`]+)`", named)
    assert tests, fault
    for path, test in tests:
        text = (ROOT / path).read_text(encoding="utf-8")
        if path.endswith(".py"):
            found = {node.name for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)}
            assert test in found, f"{number}: {path} has no {test}"
        else:
            assert f"'{test}" in text, f"{number}: {path} has no test of that title"
