"""The vectors of `fixtures/csv_cells`, which the phone runs as well (`pwa/src/ui/desk/csv.test.ts`)."""

import json
from pathlib import Path

import pytest

from shopapi.customers.rules.address_report import plain_cell

FILE = Path(__file__).parents[2] / "fixtures" / "csv_cells" / "cells.json"


@pytest.mark.parametrize(("text", "written"), json.loads(FILE.read_text("utf-8")))
def test_no_text_is_read_as_a_formula(text: str, written: str) -> None:
    assert plain_cell(text) == written
