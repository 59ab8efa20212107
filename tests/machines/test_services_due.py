"""Services of machines from their sheets, records and meters; the follow-up of the next one."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.clock import today
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.machines.queries import services_of_machines
from shopapi.machines.services import (
    add_machine,
    add_sheet,
    add_sheet_entry,
    edit_machine,
    record_meter,
    record_service,
)
from shopapi.reminders import queries
from shopapi.reminders.services import sweep_follow_ups
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_customer, do


@pytest.fixture
def crew(db: None, settings: object) -> Crew:
    return open_crew()


def on(days: int) -> date:
    return today("America/Chicago") + timedelta(days=days)


def a_tractor(crew: Crew, serial: str = "700") -> UUID:
    customer = a_customer(crew.owner)
    names = {"kind": "garden tractor", "make": "Hartvale", "model": "GT 18", "serial": serial}
    machine = uuid7()
    do(crew.owner, add_machine, id=machine, customer_id=customer, **names)
    return machine


def a_service(crew: Crew, *, words: str = "Engine oil", **interval: object) -> None:
    sheet = uuid7()
    do(crew.owner, add_sheet, id=sheet, title="GT 18", make="Hartvale", model="GT 18")
    do(crew.owner, add_sheet_entry, id=uuid7(), sheet_id=sheet, kind="service", words=words, **interval)


def read(crew: Crew, machine: UUID, *hours_on: tuple[int, str]) -> None:
    for days, hours in hours_on:
        do(crew.owner, record_meter, id=uuid7(), machine_id=machine, hours=Decimal(hours), read_on=on(days))


def serviced(crew: Crew, machine: UUID, days: int, what: str = "Engine oil") -> None:
    do(crew.owner, record_service, id=uuid7(), machine_id=machine, what=what, done_on=on(days))


def whys(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(
            follow_ups={
                **dict.fromkeys(Shop.objects.get(id=crew.shop_id).follow_ups),
                "clock_running": False,
                "ask_customer": False,
                "notify_ready": False,
                "next_service": 30,
            }
        )
        sweep_follow_ups(actor=crew.owner)
        rows = queries.follow_ups(crew.owner).filter(state="open")
        return [queries.show_follow_up(crew.owner, row).why for row in rows]


def test_service_with_neither_hours_nor_months_is_refused(crew: Crew) -> None:
    with pytest.raises(Invalid) as refused:
        a_service(crew)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("hours", "service_never")]


def test_forecast_from_the_meter(crew: Crew) -> None:
    machine = a_tractor(crew)
    a_service(crew, hours=Decimal(50), months=24)
    read(crew, machine, (-40, "100"), (-30, "111"), (-20, "119"), (-10, "130"))
    serviced(crew, machine, -40, "engine  OIL")
    with in_shop(crew.shop_id):
        (found,) = services_of_machines(crew.owner, on(365))
    assert (found.forecast.basis, found.forecast.by) == ("readings", "hours")
    assert found.forecast.due_on is not None
    assert on(5) < found.forecast.due_on < on(16), "one hour a day, 30 of 50 used"
    assert found.forecast.chance == pytest.approx(1, abs=0.01)


def test_only_a_service_done_before_is_forecast(crew: Crew) -> None:
    machine = a_tractor(crew)
    a_service(crew, months=12)
    with in_shop(crew.shop_id):
        assert services_of_machines(crew.owner, on(365)) == []
    serviced(crew, machine, -10, "Air filter")
    with in_shop(crew.shop_id):
        assert services_of_machines(crew.owner, on(365)) == []


def test_follow_up_says_why_and_ends_with_the_service(crew: Crew) -> None:
    machine = a_tractor(crew)
    a_service(crew, hours=Decimal(50), months=24)
    read(crew, machine, (-60, "100"), (-40, "121"), (-20, "139"), (-5, "156"))
    serviced(crew, machine, -60)
    (why,) = whys(crew)
    assert why.startswith("Hartvale GT 18 of Winnie Stroud: Engine oil due about ")
    assert "By its meter, 50 h since " in why
    serviced(crew, machine, 0)
    assert whys(crew) == []


def test_follow_up_by_the_calendar(crew: Crew) -> None:
    machine = a_tractor(crew)
    a_service(crew, months=12)
    serviced(crew, machine, -350)
    (why,) = whys(crew)
    assert why.endswith(" 2025.") or "12 months since " in why
    do(crew.owner, edit_machine, id=machine, base={"archived": False}, set={"archived": True})
    assert whys(crew) == [], "archived"


def test_no_follow_up_for_a_service_that_is_far_off(crew: Crew) -> None:
    machine = a_tractor(crew)
    a_service(crew, months=48)
    serviced(crew, machine, -1)
    assert whys(crew) == []
