"""What a revision changes against the signed quote, and the answers it keeps: rule, page, PDF and evidence."""

import json
from pathlib import Path
from typing import Any

import pytest

from shopapi.quotes.rules.changes import compare_offers

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "changes.json").read_text())["vectors"]


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    found = compare_offers(vector["before"], vector["after"], accepted=vector["accepted"], declined=vector["declined"])
    assert [
        [
            one.question.key,
            one.change,
            one.before_minor,
            one.answer,
            [[each.line["id"], each.change, each.before_minor] for each in one.lines],
        ]
        for one in found
    ] == vector["expect"]
