"""Balances of jobs: the vectors that the phone runs too, and what holds for every history of payments."""

import json
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.billing.rules.balances import Due, Entry, balance_of, too_much

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "billing" / "balances.json").read_text())
INVOICES = [UUID(int=number) for number in range(10)]


def entry(invoice: int | None, minor: int) -> Entry:
    return Entry(None if invoice is None else INVOICES[invoice], minor)


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    dues = [Due(INVOICES[at], minor) for at, minor in enumerate(vector["dues"])]
    found = balance_of(dues, [entry(*one) for one in vector["entries"]])
    assert {
        "billed": found.billed_minor,
        "paid": found.paid_minor,
        "paid_on": list(found.paid_on),
        "open": found.open_minor,
        "unused": found.unused_minor,
        "too_much": too_much(found, agreed_minor=vector["agreed"], is_deposit=vector["is_deposit"]),
    } == vector["expect"]


money = st.integers(0, 10**9)
entries = st.lists(st.tuples(st.none() | st.integers(0, 4), st.integers(-(10**9), 10**9)), max_size=12)


@given(st.lists(money, max_size=4), entries)
def test_what_is_paid_is_on_an_invoice_or_unused(minor: list[int], paid: list[tuple[int | None, int]]) -> None:
    dues = [Due(INVOICES[at], each) for at, each in enumerate(minor)]
    found = balance_of(dues, [entry(*one) for one in paid])
    assert found.billed_minor - found.paid_minor == found.open_minor - found.unused_minor
    assert sum(found.paid_on) + found.unused_minor == sum(each for _, each in paid)
    assert all(on <= due.minor for on, due in zip(found.paid_on, dues, strict=True))
    if found.unused_minor > 0:
        assert found.open_minor == 0
    # Whatever the order in which phones send what they took, the money is the same.
    assert balance_of(dues, [entry(*one) for one in reversed(paid)]) == found
