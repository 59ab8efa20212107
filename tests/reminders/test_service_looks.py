"""Services are forecast again only where something changed, and what is kept is what a whole look would find."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.core.clock import held_at, now, today
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.customers.services import edit_customer
from shopapi.machines.models import Machine, SheetEntry
from shopapi.machines.services import (
    add_machine,
    add_sheet,
    add_sheet_entry,
    edit_machine,
    edit_sheet,
    edit_sheet_entry,
    record_meter,
    record_service,
    remove_sheet_entry,
)
from shopapi.quotes.services.shop import edit_shop
from shopapi.reminders.models import ServiceLook
from shopapi.reminders.services import look_at_services
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_customer, do

ZONE = "America/Chicago"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def on(days: int) -> date:
    return today(ZONE) + timedelta(days=days)


def a_machine(crew: Crew, kind: str = "garden tractor", serial: str = "700") -> UUID:
    names = {"kind": kind, "make": "Hartvale", "model": "GT 18", "serial": serial}
    machine = uuid7()
    do(crew.owner, add_machine, id=machine, customer_id=a_customer(crew.owner), **names)
    return machine


def read(crew: Crew, machine: UUID, *hours_on: tuple[int, str]) -> None:
    for days, hours in hours_on:
        do(crew.owner, record_meter, id=uuid7(), machine_id=machine, hours=Decimal(hours), read_on=on(days))


def serviced(crew: Crew, machine: UUID, days: int, what: str = "Engine oil") -> None:
    do(crew.owner, record_service, id=uuid7(), machine_id=machine, what=what, done_on=on(days))


def look(crew: Crew) -> int:
    """Of how many machines the services were forecast."""
    with in_shop(crew.shop_id):
        return look_at_services(actor=crew.owner, shop=shop_of(crew.owner))


def kept(crew: Crew) -> list[Any]:
    with in_shop(crew.shop_id):
        return list(ServiceLook.objects.order_by("machine_id").values_list("machine_id", "matters", "look_on"))


def a_scene(crew: Crew) -> tuple[UUID, UUID, UUID]:
    """A sheet with an oil change, two tractors that had one, spelled differently, and a mower that had one."""
    sheet = uuid7()
    do(crew.owner, add_sheet, id=sheet, title="GT 18", make="Hartvale", model="GT 18")
    entry = {"kind": "service", "words": "Engine oil", "hours": Decimal(50), "months": 12}
    do(crew.owner, add_sheet_entry, id=uuid7(), sheet_id=sheet, **entry)
    first, alike, mower = a_machine(crew), a_machine(crew, "Garden-Tractor", "701"), a_machine(crew, "mower", "702")
    for machine in (first, alike, mower):
        read(crew, machine, (-200, "100"), (-150, "112"), (-100, "121"), (-50, "130"))
        serviced(crew, machine, -200)
    look(crew)
    return first, alike, sheet


def edit(crew: Crew, command: Any, row_id: UUID, before: dict[str, Any], after: dict[str, Any]) -> None:
    do(crew.owner, command, id=row_id, base=before, set=after)


def of_customer(crew: Crew, machine: UUID) -> Customer:
    with in_shop(crew.shop_id):
        return Customer.objects.get(machines=machine)


def entry_of(crew: Crew, sheet: UUID) -> SheetEntry:
    with in_shop(crew.shop_id):
        return SheetEntry.objects.get(sheet=sheet)


def another_season(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        calendar = Shop.objects.get(id=crew.shop_id).calendar
    later = calendar | {"season_from": "11-01", "service_percent": 50}
    edit(crew, edit_shop, crew.shop_id, {"calendar": calendar}, {"calendar": later})


CHANGES: dict[str, tuple[Callable[[Crew, UUID, UUID, UUID], None], int]] = {
    "a reading": (lambda crew, first, _a, _s: read(crew, first, (-10, "170")), 2),
    "a reading of another of its kind": (lambda crew, _f, alike, _s: read(crew, alike, (-10, "171")), 2),
    "the service": (lambda crew, first, _a, _s: serviced(crew, first, -1), 1),
    "another kind of machine": (
        lambda crew, first, _a, _s: edit(crew, edit_machine, first, {"kind": "garden tractor"}, {"kind": "mower"}),
        3,
    ),
    "the machine is put away": (
        lambda crew, first, _a, _s: edit(crew, edit_machine, first, {"archived": False}, {"archived": True}),
        2,
    ),
    "its customer has another name": (
        lambda crew, first, _a, _s: edit(
            crew, edit_customer, of_customer(crew, first).id, {"name": of_customer(crew, first).name}, {"name": "Ada"}
        ),
        1,
    ),
    "its customer is put away": (
        lambda crew, first, _a, _s: edit(
            crew, edit_customer, of_customer(crew, first).id, {"archived": False}, {"archived": True}
        ),
        3,
    ),
    "other hours on the sheet": (
        lambda crew, _f, _a, sheet: edit(
            crew, edit_sheet_entry, entry_of(crew, sheet).id, {"hours": "50"}, {"hours": "20"}
        ),
        3,
    ),
    "no service on the sheet": (
        lambda crew, _f, _a, sheet: do(crew.owner, remove_sheet_entry, id=entry_of(crew, sheet).id) and None,
        3,
    ),
    "the sheet is put away": (
        lambda crew, _f, _a, sheet: edit(crew, edit_sheet, sheet, {"archived": False}, {"archived": True}),
        3,
    ),
    "another season": (lambda crew, _f, _a, _s: another_season(crew), 3),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_changes_is_looked_at_again(crew: Crew, name: str) -> None:
    change, looked_at = CHANGES[name]
    scene = a_scene(crew)
    assert look(crew) == 0
    change(crew, *scene)
    assert look(crew) == looked_at
    found = kept(crew)
    with in_shop(crew.shop_id):
        ServiceLook.objects.update(look_on=date(2000, 1, 1))
    assert look(crew) == 3
    assert kept(crew) == found


def test_time_alone_makes_a_service_due_on_its_day(crew: Crew) -> None:
    """Every day for 14 months, what is kept is what a whole look would find, and few days need one."""
    first, *_ = a_scene(crew)
    looks, due_from = 0, None
    start = now()
    for days in range(0, 425, 5):
        with held_at(start + timedelta(days=days)):
            looks += look(crew)
            found = kept(crew)
            if due_from is None and any(matters for machine, matters, _ in found if machine == first):
                due_from = days
            with in_shop(crew.shop_id):
                ServiceLook.objects.update(look_on=date(2000, 1, 1))
            look(crew)
            assert [one[:2] for one in kept(crew)] == [one[:2] for one in found]
    assert due_from is not None
    assert looks <= 3 * 5


def test_other_work_is_no_reason_to_look(crew: Crew) -> None:
    a_scene(crew)
    other = a_machine(crew, "chipper", "703")
    read(crew, other, (-10, "5"))
    with in_shop(crew.shop_id):
        assert Machine.objects.count() == 4
    assert look(crew) == 0
