"""The generated contract of server and phone: schemas, defaults and tables."""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Literal

import pytest
from pydantic import AwareDatetime

from shopapi.config.contract import tables
from shopapi.config.contract.file import contract, contract_defaults, literal, quoted
from shopapi.config.contract.messages import messages
from shopapi.config.contract.types import Types
from shopapi.core.resources import all_resources, resource_of
from shopapi.core.schema import DecimalText, Row, Schema

FILE = Path(__file__).parents[2] / "pwa" / "src" / "domain" / "contract.ts"


class Wheel(Schema):
    """A wheel of a cart."""

    inches: int
    turf: bool = True


class CartFields(Schema):
    label: str
    color: Literal["red", "green"] | None = None
    wheels: list[Wheel] = []


class CartRow(Row):
    label: str
    color: Literal["red", "green"] | None
    wheels: list[Wheel]
    bought_on: date | None
    seen_at: AwareDatetime
    price: DecimalText
    by_place: dict[str, int]
    spot: tuple[int, int]


def _types(given: type[Schema], taken: type[Schema]) -> str:
    return Types.of({"Cart": given}, [taken]).declarations()


def test_output_has_every_field_and_input_may_omit_defaults() -> None:
    assert _types(CartRow, CartFields).splitlines() == [
        "export interface Cart {",
        "  readonly id: string",
        "  readonly created_at: Moment",
        "  readonly changed_at: Moment",
        "  readonly label: string",
        "  readonly color: 'red' | 'green' | null",
        "  readonly wheels: readonly Wheel[]",
        "  readonly bought_on: Day | null",
        "  readonly seen_at: Moment",
        "  readonly price: DecimalText",
        "  readonly by_place: Readonly<Record<string, number>>",
        "  readonly spot: readonly [number, number]",
        "}",
        "",
        "export interface CartFields {",
        "  readonly label: string",
        "  readonly color?: 'red' | 'green' | null",
        "  readonly wheels?: readonly WheelInput[]",
        "}",
        "",
        "/** A wheel of a cart. */",
        "export interface Wheel {",
        "  readonly inches: number",
        "  readonly turf: boolean",
        "}",
        "",
        "/** A wheel of a cart. */",
        "export interface WheelInput {",
        "  readonly inches: number",
        "  readonly turf?: boolean",
        "}",
    ]


def test_two_types_with_one_name_are_refused() -> None:
    class Wheel(Schema):
        spokes: int

    class Tire(Row):
        wheel: Wheel

    class Wheels(Row):
        one: Tire
        other: CartRow

    with pytest.raises(ValueError, match="Wheel; give one of them another name"):
        _types(Wheels, CartFields)
    with pytest.raises(ValueError, match="would be called CartFields"):
        Types.of({"CartFields": CartRow}, [CartFields]).declarations()


def test_text_is_quoted_for_typescript() -> None:
    assert quoted('the "A\\B" of\nKim\'s') == "'the \"A\\\\B\" of\\nKim\\'s'"
    assert literal({"a": ["x" * 60, "y" * 60]}) == "\n".join(
        ["{", "  a: [", f"    '{'x' * 60}',", f"    '{'y' * 60}',", "  ],", "}"]
    )


def test_row_defaults_come_from_arguments_and_columns() -> None:
    begins = tables.defaults_of(resource_of("yard"))
    assert (begins["opens"], begins["loading_minutes"]) == ("07:00", 10)
    # A column that begins as {} is read by the schema that is shown.
    assert begins["learned"]["drive_count"] == 0
    job = tables.defaults_of(resource_of("job"))
    assert job == {
        "number": None,
        "mark": "",
        "site_id": None,
        "stage": "intake",
        "promised_on": None,
        "notes": "",
        "waits_on": [],
        "resumed_work": [],
        "urgency": "usual",
        "arrives_by": "",
        "comeback_of_id": None,
    }


def test_field_without_argument_or_default_is_refused() -> None:
    with pytest.raises(ValueError, match=r"how job\.opened_at begins: .* `computed_fields`"):
        tables.defaults_of(replace(resource_of("job"), computed_fields=()))


def test_omitted_argument_has_a_default() -> None:
    left_out = tables.arguments_left_out(tables.commands_of(all_resources()))
    assert left_out["request_plan"] == {"seed": 0, "seconds": 5, "rounds": None, "from_now": False}
    assert "edit_job" not in left_out
    assert "remove_site" not in left_out


def test_contract_file_is_up_to_date() -> None:
    assert contract(all_resources()) == FILE.read_text(encoding="utf-8"), "run `python3 manage.py contract`"
    defaults = FILE.with_name("contractDefaults.ts").read_text(encoding="utf-8")
    assert contract_defaults(all_resources()) == defaults, "run `python3 manage.py contract`"
    sentences = {path.name: path.read_text(encoding="utf-8") for path in FILE.with_name("messages").iterdir()}
    assert messages() == sentences, "run `python3 manage.py contract`"


def test_list_of_facts() -> None:
    """The list is written out so that every change of it is reviewed: facts are never refused."""
    commands = tables.commands_of(all_resources())
    assert {name for name, (_, command) in commands.items() if command.fact} == {
        "acknowledge_caution",
        "acknowledge_finding",
        "add_attachment",
        "add_complaint",
        "answer_part_order_line",
        "arrive_stop",
        "count_stock",
        "decide_quote",
        "end_run",
        "fail_stop",
        "fit_from_stock",
        "fit_part",
        "hand_over",
        "leave_stop",
        "note_part_order_sent",
        "note_part_search",
        "note_sent_by_hand",
        "put_step_back",
        "record_check",
        "record_circuit_observation",
        "record_fastener",
        "record_fastener_move",
        "record_finding",
        "record_intake_terms",
        "record_message",
        "record_meter",
        "record_part_arrival",
        "record_part_search",
        "record_payment",
        "record_reading",
        "record_refund",
        "record_removal",
        "record_run_test",
        "record_safety_item",
        "record_service",
        "record_stock_move",
        "refund_part_return",
        "refuse_part_return",
        "reopen_safety_item",
        "repair_safety_item",
        "report_breakdown",
        "send_part_return",
        "start_clock",
        "start_run",
        "stop_clock",
        "transfer_stock",
        "undo_put_back",
        "withdraw_circuit_observation",
    }
