"""The short code on a machine's tag: server and phone give the same one."""

import json
from pathlib import Path
from uuid import UUID

import pytest

from shopapi.machines.rules import short_code

CODES = json.loads((Path(__file__).parents[2] / "fixtures" / "machines" / "tags.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("machine_id", "code"), CODES["codes"])
def test_short_code_of_vectors(machine_id: str, code: str) -> None:
    assert short_code(UUID(machine_id)) == code
