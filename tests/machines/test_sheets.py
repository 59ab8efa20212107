"""Sheets, limits and entries: what is refused, versions, and what stays when a limit changes."""

from typing import Any
from uuid import UUID

import pytest

from shopapi.core.errors import Conflict, DomainError, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.tenancy import in_shop
from shopapi.machines.models import Limit, Sheet, SheetEntry
from shopapi.machines.rules.limits import LimitRow, limit_snapshot
from shopapi.machines.services import (
    add_limit,
    add_sheet,
    add_sheet_entry,
    edit_limit,
    edit_sheet,
    edit_sheet_entry,
    remove_limit,
    remove_sheet,
    remove_sheet_entry,
)
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.fixture
def sheet(crew: Crew) -> UUID:
    return work.a_sheet(crew.mechanic)


def faults(refused: Any) -> list[tuple[str, str]]:
    return [(fault.field, fault.code) for fault in refused.value.fields]


def limit_of(crew: Crew, limit_id: UUID) -> LimitRow:
    with in_shop(crew.shop_id):
        return LimitRow.of(Limit.objects.get(id=limit_id))


def test_figures_stay_as_they_were_typed(crew: Crew, sheet: UUID) -> None:
    limit = limit_of(crew, work.a_limit(crew.mechanic, sheet, nominal="0.0160", tolerance="0.008"))
    assert (limit.nominal, limit.tolerance, limit.unit, limit.version) == ("0.0160", "0.008", "in", 1)


def test_each_edit_of_a_limit_raises_its_version_and_leaves_copies_alone(crew: Crew, sheet: UUID) -> None:
    limit_id = work.a_limit(crew.mechanic, sheet)
    copy = limit_snapshot(limit_of(crew, limit_id))
    do(crew.mechanic, edit_limit, id=limit_id, base={"nominal": "0.016"}, set={"nominal": "0.014"})
    do(crew.mechanic, edit_limit, id=limit_id, base={"page": ""}, set={"page": "12"})
    changed = limit_of(crew, limit_id)
    assert (changed.nominal, changed.page, changed.version) == ("0.014", "12", 3)
    assert (copy.nominal, copy.version) == ("0.016", 1)
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.filter(event="limit edited", subject_id=limit_id).count() == 2


def test_an_edit_that_changes_nothing_or_clashes_raises_no_version(crew: Crew, sheet: UUID) -> None:
    limit_id = work.a_limit(crew.mechanic, sheet)
    do(crew.mechanic, edit_limit, id=limit_id, base={"nominal": "0.016"}, set={"nominal": "0.016"})
    do(crew.office, edit_limit, id=limit_id, base={"nominal": "0.02"}, set={"nominal": "0.021"})
    assert limit_of(crew, limit_id).version == 1
    with in_shop(crew.shop_id):
        assert Issue.objects.get().ours == {"nominal": "0.021"}


@pytest.mark.parametrize(
    ("fields", "found"),
    [
        ({"unit": "lbf.ft"}, [("unit", "unit_of_another_quantity")]),
        ({"unit": "furlong"}, [("unit", "unit_unknown")]),
        ({"nominal": "", "tolerance": "", "low": "2", "high": "1"}, [("high", "limit_upside_down")]),
        ({"nominal": "1e3"}, [("nominal", "string_pattern_mismatch")]),
        ({"what": ""}, [("what", "too_short")]),
    ],
)
def test_wrong_limits_are_refused_by_field(crew: Crew, sheet: UUID, fields: Any, found: Any) -> None:
    with pytest.raises(Invalid) as refused:
        work.a_limit(crew.mechanic, sheet, **fields)
    assert faults(refused) == found


def test_an_edit_is_checked_with_the_whole_limit(crew: Crew, sheet: UUID) -> None:
    limit_id = work.a_limit(crew.mechanic, sheet)
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, edit_limit, id=limit_id, base={"quantity": "length"}, set={"quantity": "torque"})
    assert faults(refused) == [("unit", "unit_of_another_quantity")]


def test_a_sheet_is_about_something_and_its_serial_numbers_ascend(crew: Crew, sheet: UUID) -> None:
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, add_sheet, id=uuid7(), title="Notes")
    assert faults(refused) == [("model", "sheet_for_nothing")]
    serials = {"serial_from": "A1200", "serial_to": "A900"}
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, edit_sheet, id=sheet, base=dict.fromkeys(serials, ""), set=serials)
    assert faults(refused) == [("serial_to", "serials_upside_down")]


def test_an_entry_has_the_fields_of_its_kind(crew: Crew, sheet: UUID) -> None:
    cover = {"kind": "fastener", "words": "Cover", "thread": "1/4-20", "count": 6, "torque": "7.5"}
    entry = work.a_sheet_entry(crew.mechanic, sheet, **cover, torque_unit="lbf.ft")
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, edit_sheet_entry, id=entry, base={"kind": "fastener"}, set={"kind": "note"})
    assert faults(refused) == [(name, "not_for_entry") for name in ("thread", "count", "torque", "torque_unit")]
    work.a_sheet_entry(crew.mechanic, sheet, kind="operation", words="Replace drive belt", hours="1.25")
    work.a_sheet_entry(crew.mechanic, sheet, kind="order", words="", first="Belt", second="Belt cover")


def test_what_a_job_taught_names_its_machine(crew: Crew, sheet: UUID) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    lesson = work.a_sheet_entry(crew.mechanic, sheet, kind="lesson", machine_id=machine, job_mark="J-1001")
    with in_shop(crew.shop_id):
        assert SheetEntry.objects.get(id=lesson).machine_id == machine
    with pytest.raises(NotFound) as refused:
        work.a_limit(crew.mechanic, sheet, machine_id=uuid7())
    assert refused.value.fields[0].field == "machine_id"


def test_a_sheet_with_entries_is_archived_instead_of_removed(crew: Crew, sheet: UUID) -> None:
    limit, entry = work.a_limit(crew.mechanic, sheet), work.a_sheet_entry(crew.mechanic, sheet)
    with pytest.raises(Conflict) as refused:
        do(crew.mechanic, remove_sheet, id=sheet)
    assert refused.value.reason.code == "sheet_in_use"
    do(crew.mechanic, remove_limit, id=limit)
    do(crew.mechanic, remove_sheet_entry, id=entry)
    do(crew.mechanic, remove_sheet, id=sheet)
    with in_shop(crew.shop_id):
        assert not Sheet.objects.exists()


@pytest.mark.parametrize("command", [add_limit, add_sheet_entry])
def test_a_sheet_of_another_shop_is_not_found(crew: Crew, command: Any) -> None:
    other = work.a_sheet(open_crew("Other").mechanic)
    rest = {"what": "Gap", "quantity": "length", "unit": "mm", "low": "1"} if command is add_limit else {"kind": "note"}
    with pytest.raises(DomainError) as refused:
        do(crew.mechanic, command, id=uuid7(), sheet_id=other, **rest)
    assert isinstance(refused.value, NotFound)
