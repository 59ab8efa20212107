"""Which sheets are about a machine, serial numbers in order, limits and their bounds (`fixtures/machines`)."""

import json
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.clock import now
from shopapi.core.quantities import Quantity, to_si
from shopapi.core.schema import parse
from shopapi.machines.rules.limits import (
    LimitFields,
    LimitRow,
    bounds_in_si,
    bounds_of,
    limit_faults,
    limit_snapshot,
)
from shopapi.machines.rules.serials import is_serial_between, serial_key
from shopapi.machines.rules.sheet_matching import match_sheets
from shopapi.machines.rules.sheets import SheetEntryFields, SheetFields, entry_faults, sheet_faults

FIXTURES = Path(__file__).parents[2] / "fixtures" / "machines"


def read(name: str) -> Any:
    return json.loads((FIXTURES / f"{name}.json").read_text("utf-8"))


def pairs(faults: Any) -> list[list[str]]:
    return sorted([fault.field, fault.code] for fault in faults)


def test_serial_numbers_have_a_natural_order() -> None:
    vectors = read("serials")
    keys = [serial_key(serial) for serial in vectors["ascending"]]
    assert all(before < after for before, after in pairwise(keys))
    assert all(serial_key(one) == serial_key(other) for one, other in vectors["same"])


@pytest.mark.parametrize("case", read("serials")["between"])
def test_serial_in_a_range(case: Any) -> None:
    assert is_serial_between(case["serial"], case["from"], case["to"]) is case["expect"]


@pytest.mark.parametrize("case", read("sheet_matching"), ids=lambda case: case["name"])
def test_sheets_for_a_machine(case: Any) -> None:
    sheets = [SimpleNamespace(**sheet) for sheet in case["sheets"]]
    found = match_sheets(SimpleNamespace(**case["machine"]), sheets)
    assert [[sheets[match.index].title, match.fit, match.serial_unknown] for match in found] == case["expect"]


@pytest.mark.parametrize("case", read("limits"), ids=lambda case: case["name"])
def test_limits(case: Any) -> None:
    limit = parse(LimitFields, case["limit"])
    assert pairs(limit_faults(limit)) == case["faults"]
    if not case["faults"]:
        bounds = [None if text is None else Decimal(text) for text in case["bounds"]]
        assert list(bounds_of(limit)) == bounds
        assert list(bounds_in_si(limit)) == [None if text is None else Fraction(text) for text in case["si"]]


@pytest.mark.parametrize("case", read("sheets")["sheets"])
def test_faults_of_a_sheet(case: Any) -> None:
    assert pairs(sheet_faults(parse(SheetFields, {"title": "GT 18", **case["row"]}))) == case["faults"]


@pytest.mark.parametrize("case", read("sheets")["entries"])
def test_faults_of_an_entry(case: Any) -> None:
    assert pairs(entry_faults(parse(SheetEntryFields, case["row"]))) == case["faults"]


def test_torque_in_pound_feet_is_twelve_times_that_in_pound_inches() -> None:
    """1 lbf.ft = 1.355818 N.m and 1 lbf.in = 0.1129848 N.m as printed in NIST SP 811, appendix B.8 (from memory)."""
    cover = Decimal("7.5")
    assert to_si(cover, "lbf.ft") == 12 * to_si(cover, "lbf.in")
    assert float(to_si(cover, "lbf.ft")) == pytest.approx(7.5 * 1.355818, rel=5e-7)


def test_a_snapshot_is_the_limit_as_it_was() -> None:
    texts = {"low": "", "high": "", "condition": "cold", "manual": "", "page": "", "job_mark": "J-1"}
    row = LimitRow(
        id=UUID(int=1),
        sheet_id=UUID(int=2),
        machine_id=None,
        created_at=now(),
        changed_at=now(),
        what="Air gap",
        quantity=Quantity.LENGTH,
        unit="in",
        nominal="0.016",
        tolerance="0.008",
        critical=True,
        version=3,
        **texts,
    )
    copy = limit_snapshot(row)
    assert (copy.limit_id, copy.version, copy.nominal, copy.condition) == (row.id, 3, "0.016", "cold")
    assert bounds_of(copy) == bounds_of(row)
