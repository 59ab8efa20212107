"""Typed measures: the vectors of `fixtures/measures`, which the phone runs as well (`measures.test.ts`)."""

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from shopapi.core.units import KG_A_POUND, TypedLength, TypedWeight, exact, pounds, whole_of

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "measures" / "typed.json").read_text())


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["typed"])
def test_typed_measure_is_exact(case: dict[str, Any]) -> None:
    assert exact(case["whole"], case["typed"]) == Fraction(case["exact"])
    assert whole_of(Fraction(case["exact"])) == case["whole"]
    # A client that ignores the typed value: the number alone counts.
    assert exact(case["whole"] + 1, case["typed"]) == case["whole"] + 1


@pytest.mark.parametrize("typed", [words for words in VECTORS["not_measures"] if words])
def test_invalid_measure_is_refused(typed: str) -> None:
    for kind in (TypedWeight, TypedLength):
        with pytest.raises(ValidationError):
            TypeAdapter(kind).validate_python(typed)
    assert exact(7, typed) == 7


def test_whole_pounds_survive_conversion() -> None:
    for amount in range(1, 20_001):
        whole = whole_of(amount * KG_A_POUND)
        assert pounds(exact(whole, f"{amount} lb")) == amount
    # NIST SP 811, appendix B.8: pound (avoirdupois), 4.535 924 E-01 kg.
    assert round(float(KG_A_POUND), 7) == 0.4535924
