"""Lead times and promises from real orders, and the follow-ups of late orders and promises at risk."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.clock import now, today
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.parts.models import PartNeed, PartOrder
from shopapi.parts.queries.promises import PromiseSupplies, supplies_of
from shopapi.parts.rules.business_days import add_business_days
from shopapi.parts.rules.promise import days_for_all
from shopapi.parts.services.arrivals import record_part_arrival
from shopapi.parts.services.needs import add_part_need
from shopapi.parts.services.orders import add_part_order, add_part_order_line, note_part_order_sent
from shopapi.parts.services.suppliers import add_supplier
from shopapi.reminders import queries
from shopapi.reminders.services import sweep_follow_ups
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do, made

ZONE = "America/Chicago"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def noon(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)


def supplies(crew: Crew) -> PromiseSupplies:
    with in_shop(crew.shop_id):
        return supplies_of(crew.owner, Shop.objects.get(id=crew.shop_id))


def business_day(crew: Crew, count: int) -> date:
    return add_business_days(today(ZONE), count, supplies(crew).open_days)


def a_supplier(crew: Crew, **more: Any) -> UUID:
    return made(crew.office, add_supplier, id=uuid7(), name="Oakline Supply", **more)


def a_need(crew: Crew, job: UUID, supplier: UUID | None = None) -> UUID:
    return made(crew.mechanic, add_part_need, id=uuid7(), job_id=job, description="Deck belt", supplier_id=supplier)


def ordered(crew: Crew, supplier: UUID, sent_on: date, need: UUID | None = None) -> UUID:
    """An order of one line that was sent on a day; returns the line."""
    order = made(crew.office, add_part_order, id=uuid7(), supplier_id=supplier)
    line = made(crew.office, add_part_order_line, id=uuid7(), order_id=order, need_id=need, description="Deck belt")
    do(crew.office, note_part_order_sent, id=order, how="phone", sent_at=now())
    with in_shop(crew.shop_id):
        PartOrder.objects.filter(id=order).update(sent_at=noon(sent_on))
    return line


def arrived(crew: Crew, line: UUID, on: date) -> None:
    do(
        crew.mechanic,
        record_part_arrival,
        id=uuid7(),
        order_line_id=line,
        quantity="1",
        condition="good",
        arrived_at=noon(on),
    )


def history(crew: Crew, supplier: UUID, *days: int) -> None:
    """Orders that took so many business days, sent a while ago."""
    for took in days:
        sent = business_day(crew, -40)
        arrived(crew, ordered(crew, supplier, sent), business_day(crew, -40 + took))


def whys(crew: Crew, **days: int) -> list[str]:
    with in_shop(crew.shop_id):
        none = dict.fromkeys(Shop.objects.get(id=crew.shop_id).follow_ups)
        off = {"clock_running": False, "ask_customer": False, "notify_ready": False}
        Shop.objects.filter(id=crew.shop_id).update(follow_ups={**none, **off, **days})
        sweep_follow_ups(actor=crew.owner)
        rows = queries.follow_ups(crew.owner).filter(state="open")
        return [queries.show_follow_up(crew.owner, row).why for row in rows]


def promise(crew: Crew, job: UUID, day: date) -> None:
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(promised_on=day)


def test_lead_time_counts_what_has_not_come(crew: Crew) -> None:
    supplier = a_supplier(crew)
    history(crew, supplier, 2, 2, 3, 4, 5)
    assert supplies(crew).lead_times[supplier].days_for(0.8) == 4
    ordered(crew, supplier, business_day(crew, -30))
    known = supplies(crew).lead_times[supplier]
    assert (known.waits, known.arrivals) == (6, 5)
    assert known.days_for(0.8) == 5, "one that has waited 30 days makes the others less typical"


def test_usual_days_until_there_is_a_history(crew: Crew) -> None:
    supplier = a_supplier(crew, lead_days=6)
    history(crew, supplier, 1, 1)
    assert supplies(crew).lead_times[supplier].days_for(0.8) == 6
    assert a_supplier(crew) not in supplies(crew).lead_times


def test_promise_of_a_part_that_is_to_be_ordered(crew: Crew) -> None:
    supplier, job = a_supplier(crew, lead_days=6), work.a_job(crew.mechanic)
    need = a_need(crew, job, supplier)
    with in_shop(crew.shop_id):
        part = supplies(crew).expected(PartNeed.objects.get(id=need))
        nobody = supplies(crew).expected(PartNeed.objects.get(id=a_need(crew, job)))
    assert part is not None
    assert days_for_all([part], 0.8) == 6
    assert nobody is None


def test_overdue_order_by_history_until_it_comes(crew: Crew) -> None:
    supplier, job = a_supplier(crew), work.a_job(crew.mechanic)
    history(crew, supplier, 2, 2, 3, 3, 3)
    line = ordered(crew, supplier, business_day(crew, -8), a_need(crew, job))
    (why,) = whys(crew, order_overdue=1)
    assert "from Oakline Supply: Deck belt not here. 80% of their parts have come by " in why
    arrived(crew, line, today(ZONE))
    assert whys(crew, order_overdue=1) == []


def test_order_is_not_overdue_before_the_day_the_supplier_gave(crew: Crew) -> None:
    supplier = a_supplier(crew, lead_days=2)
    line = ordered(crew, supplier, business_day(crew, -8))
    with in_shop(crew.shop_id):
        order = PartOrder.objects.get(lines=line)
        PartOrder.objects.filter(id=order.id).update(promised_on=today(ZONE) + timedelta(days=3))
    assert whys(crew, order_overdue=1) == []
    with in_shop(crew.shop_id):
        PartOrder.objects.filter(id=order.id).update(promised_on=today(ZONE) - timedelta(days=3))
    (why,) = whys(crew, order_overdue=1)
    assert "They said " in why


def test_promise_at_risk_names_the_chance_and_ends_when_the_part_comes(crew: Crew) -> None:
    supplier, job = a_supplier(crew), work.a_job(crew.mechanic)
    history(crew, supplier, 1, 6, 6, 7, 8)
    line = ordered(crew, supplier, today(ZONE), a_need(crew, job))
    promise(crew, job, business_day(crew, 2))
    (why,) = whys(crew, promise_at_risk=14)
    assert "20% chance that Deck belt comes in time" in why
    promise(crew, job, business_day(crew, 8))
    assert whys(crew, promise_at_risk=30) == []
    promise(crew, job, business_day(crew, 2))
    arrived(crew, line, today(ZONE))
    assert whys(crew, promise_at_risk=30) == []
