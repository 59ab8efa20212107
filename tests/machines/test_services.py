"""Machines and readings of their hour meters, by segment."""

from decimal import Decimal

import pytest

from shopapi.core.errors import Conflict, DomainError, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from shopapi.machines.models import Machine, MeterReading
from shopapi.machines.services import add_machine, edit_machine, record_meter, remove_machine
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def test_readings_are_stored_unchanged_and_a_new_meter_begins_a_segment(crew: Crew) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    for hours, new in (("612.4", False), ("600", False), ("0.3", True), ("4", False), ("0", True)):
        work.a_reading(crew.mechanic, machine, hours=hours, new_segment=new)
    with in_shop(crew.shop_id):
        kept = MeterReading.objects.order_by("id").values_list("segment", "hours", "noted_by")
        who = crew.mechanic.member_id
        assert list(kept) == [
            (1, Decimal("612.4"), who),
            (1, Decimal(600), who),
            (2, Decimal("0.3"), who),
            (2, Decimal(4), who),
            (3, Decimal(0), who),
        ]
        assert AuditEvent.objects.filter(event="meter read", subject_id=machine).count() == 5


def test_first_reading_is_of_the_first_segment(crew: Crew) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    work.a_reading(crew.owner, machine, new_segment=True)
    with in_shop(crew.shop_id):
        assert MeterReading.objects.get().segment == 1


@pytest.mark.parametrize("hours", ["-1", "1000000", "1.234", 3, "NaN"])
def test_invalid_hours_are_refused(crew: Crew, hours: object) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    with pytest.raises(Invalid) as refused:
        do(crew.owner, record_meter, id=uuid7(), machine_id=machine, hours=hours, read_on="2026-03-17")
    assert [fault.field for fault in refused.value.fields] == ["hours"]


def test_machine_is_edited_and_audited(crew: Crew) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    do(crew.mechanic, edit_machine, id=machine, base={"serial": "HV22H-104877"}, set={"serial": "HV22H-104878"})
    with in_shop(crew.shop_id):
        assert Machine.objects.get().serial == "HV22H-104878"
        event = AuditEvent.objects.get(event="machine edited")
        assert event.details == {"before": {"serial": "HV22H-104877"}, "after": {"serial": "HV22H-104878"}}


def test_machine_with_jobs_cannot_be_removed(crew: Crew) -> None:
    machine = work.a_machine(crew.owner, work.a_customer(crew.owner))
    work.a_reading(crew.owner, machine)
    with pytest.raises(Conflict) as refused:
        do(crew.owner, remove_machine, id=machine)
    assert refused.value.code == "in_use"
    other = work.a_machine(crew.owner, work.a_customer(crew.owner))
    do(crew.owner, remove_machine, id=other)
    with in_shop(crew.shop_id):
        assert list(Machine.objects.values_list("id", flat=True)) == [machine]


def test_unknown_row_is_named(crew: Crew) -> None:
    tries: list[tuple[str, DomainError]] = []
    for field, command, args in (
        ("customer_id", add_machine, {"id": uuid7(), "customer_id": uuid7(), "kind": "tiller"}),
        ("machine_id", record_meter, {"id": uuid7(), "machine_id": uuid7(), "hours": "1", "read_on": "2026-01-01"}),
        ("id", remove_machine, {"id": uuid7()}),
        ("id", edit_machine, {"id": uuid7(), "base": {"make": ""}, "set": {"make": "A"}}),
    ):
        with pytest.raises(NotFound) as refused:
            do(crew.owner, command, **args)
        tries.append((field, refused.value))
    assert [error.fields[0].field for _, error in tries] == [field for field, _ in tries]
