"""A supplier's price list as a file: what is read, what is refused and by which row, how amounts are written.

Amounts: both orders of marks are in use, point before the cents and comma between thousands, and the reverse
(ISO 80000-1, 7.3.2, from memory: the decimal sign is a comma or a point on the line; thousands by a small space).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.core.money import plain_amount
from shopapi.customers.rules.address_book import UnreadableBook
from shopapi.parts.rules.amounts import DecimalMark, decimal_mark, read_amount
from shopapi.parts.rules.price_lists import (
    MAX_LIST_BYTES,
    ListedPart,
    PriceList,
    assign_columns,
    compare_lists,
    figures_of,
    number_key,
    open_list,
    read_list,
)


def read(text: str, *, digits: int = 2, mark: DecimalMark = "", currency: str = "USD") -> PriceList:
    table = open_list(text.encode())
    return read_list(table, table.columns, digits=digits, currency=currency, mark=mark)


def test_a_plain_list_is_read() -> None:
    found = read(
        "Part No.,Description,Dealer Net,List Price,Core,Superseded by\n"
        "HV-1204,Deck belt,18.42,31.95,,HV-1204A\n"
        "HV 88,Starter,94.00,159.99,25.00,\n"
    )
    assert found.faults == ()
    assert found.parts == (
        ListedPart(2, "HV-1204", "Deck belt", "HV-1204A", 1842, 3195, None),
        ListedPart(3, "HV 88", "Starter", "", 9400, 15999, 2500),
    )


def test_a_list_with_semicolons_and_commas_before_the_cents_is_read() -> None:
    found = read("Artikelnummer;Bezeichnung;Netto\nA1;Keilriemen;1.018,42 €\nA2;Kerze;3,10\n")
    assert [part.cost_minor for part in found.parts] == [101842, 310]
    assert (found.mark, found.faults) == (",", ())


def test_each_broken_row_is_reported_and_the_others_are_kept() -> None:
    found = read(
        "number,description,cost\n"
        "A1,Belt,1.50\n"
        ",No number,2.50\n"
        "A3,By telephone,call us\n"
        "1.23E+11,Shortened,4.50\n"
        "a-1,The first again,1.60\n"
        "A6,Credit,-3.00\n"
        "A7,Belt,wide,5.00\n"
        "A8,Elsewhere,12.00 EUR\n"
        f"A9,{'x' * 201},1.00\n"
        "A10,No price,\n"
    )
    assert [(fault.row, fault.field, fault.code) for fault in found.faults] == [
        (3, "number", "missing"),
        (4, "cost", "not_an_amount"),
        (5, "number", "number_damaged"),
        (6, "number", "number_twice"),
        (7, "cost", "amount_below_zero"),
        (8, "row", "too_many_cells"),
        (8, "cost", "not_an_amount"),
        (9, "cost", "other_currency"),
        (10, "description", "too_long"),
    ]
    assert "Row 2 has the same number" in found.faults[3].words
    assert [(part.number, part.cost_minor) for part in found.parts] == [("A1", 150), ("A10", None)]


def test_an_amount_that_can_be_read_in_two_ways_is_not_guessed() -> None:
    text = "number,cost\nA1,1.234\nA2,2.345\nA3,90\n"
    found = read(text)
    assert [(fault.row, fault.code) for fault in found.faults] == [(2, "amount_ambiguous"), (3, "amount_ambiguous")]
    assert [part.cost_minor for part in read(text, mark=",").parts] == [123400, 234500, 9000]
    assert [part.cost_minor for part in read(text, mark=".").parts] == [123, 235, 9000]
    # Another amount of the list tells.
    assert [part.cost_minor for part in read(text + "A4,0.75\n").parts] == [123, 235, 9000, 75]


@pytest.mark.parametrize(
    ("text", "mark", "digits", "minor"),
    [
        ("1,234.50", ".", 2, 123450),
        ("1.234,50", ",", 2, 123450),
        ("1 234,50", ",", 2, 123450),
        ("1’234.50", ".", 2, 123450),
        ("12.345", ".", 3, 12345),
        ("1,234", ".", 0, 1234),
        ("18", "", 2, 1800),
        (".5", ".", 2, 50),
        ("0.005", ".", 2, 1),
        ("0.0049", ".", 2, 0),
        ("12,34.50", ".", 2, "not_an_amount"),
        ("1.2.3", ".", 2, "not_an_amount"),
        ("(4.50)", ".", 2, "amount_below_zero"),
        ("999999999999999", "", 2, "amount_too_large"),
    ],
)
def test_amounts(text: str, mark: str, digits: int, minor: int | str) -> None:
    assert read_amount(text, mark=mark, digits=digits) == minor


@given(st.integers(0, 10**9), st.sampled_from([0, 2, 3]), st.sampled_from(["", ","]), st.sampled_from([".", ","]))
def test_an_amount_written_in_either_way_is_read_back(minor: int, digits: int, group: str, mark: str) -> None:
    whole, _, part = plain_amount(minor, digits).partition(".")
    text = (f"{int(whole):,}" if group else whole) + (f".{part}" if part else "")
    if mark == ",":
        text = text.translate(str.maketrans(".,", ",."))
    assert read_amount(text, mark=mark, digits=digits) == minor


def test_amounts_without_cents_leave_the_mark_open_unless_the_currency_has_none() -> None:
    assert decimal_mark(["1,234", "5,678"], 2) == ""
    assert decimal_mark(["1,234", "5,678"], 0) == "."
    assert [part.cost_minor for part in read('number,cost\nA1,"1,234"\n', digits=0, currency="JPY").parts] == [1234]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"number,cost\n", "no parts below"),
        (b'number,cost\nA1,"12\n', "never closes"),
        (b"a" * (MAX_LIST_BYTES + 1), "Split it"),
        (b"number,cost\nA1,\x81\x8d\n", "neither UTF-8 nor Windows-1252"),
    ],
)
def test_a_file_that_is_no_list_says_what_to_do(data: bytes, says: str) -> None:
    with pytest.raises(UnreadableBook, match=says):
        open_list(data)


def test_columns_are_assigned_by_hand_where_no_heading_is_known() -> None:
    table = open_list(b"X,Y,Price\nA1,2.50,9.99\n")
    assert [column.field for column in table.columns] == ["", "", "price"]
    columns = assign_columns(table.columns, {0: "number", 1: "price"})
    assert [column.field for column in columns] == ["number", "price", ""]
    assert read_list(table, columns, digits=2, currency="USD").parts == (ListedPart(2, "A1", price_minor=250),)
    with pytest.raises(UnreadableBook, match="no column 4"):
        assign_columns(table.columns, {3: "number"})
    with pytest.raises(UnreadableBook, match="Two columns"):
        assign_columns(table.columns, {0: "number", 1: "number"})


def test_a_guard_against_formulas_is_taken_off() -> None:
    assert read("number,description\nA1,'=Belt\n").parts[0].description == "=Belt"


def test_numbers_are_the_same_whatever_marks_they_are_written_with() -> None:
    assert number_key("HV-1204 a") == number_key("hv1204A")
    # A zero in front is part of a number.
    assert number_key("0123") != number_key("123")


def test_a_list_is_compared_with_the_one_before() -> None:
    before = {"A1": figures_of(ListedPart(2, "A-1", cost_minor=100)), "A2": figures_of(ListedPart(3, "A2"))}
    before["A3"] = figures_of(ListedPart(4, "A3", cost_minor=5))
    now = [ListedPart(2, "A-1", cost_minor=120), ListedPart(3, "A2"), ListedPart(4, "A4", cost_minor=7)]
    found = compare_lists(now, before)
    assert [part.number for part in found.new] == ["A4"]
    assert [part.number for part in found.changed] == ["A-1"]
    assert (found.same, found.gone) == (1, ("A3",))
