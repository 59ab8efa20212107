"""Closed periods: intents into them are refused, facts held as issues, each with the way out."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest

from shopapi.billing.models import BillingSettings, Payment, PeriodClose
from shopapi.billing.queries.closing import closed_through
from shopapi.billing.rules.closing import CountedTakings, PeriodClosing, closing_faults, refuse_closed
from shopapi.billing.rules.payments import PaymentMethod
from shopapi.billing.rules.settings import no_accounts
from shopapi.billing.services.closing import close_period
from shopapi.billing.services.payments import record_payment, reverse_payment
from shopapi.billing.services.settings import edit_account_names, edit_billing_settings
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, Forbidden, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.sync.services.issues import settle_issue
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_job, do, today
from tests.sync.direct_push import push

JUNE = date(2026, 6, 30)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.mark.parametrize(
    ("through", "closed", "note", "fault"),
    [
        (JUNE, None, "", None),
        (JUNE, JUNE - timedelta(days=30), "", None),
        (date(2026, 11, 30), None, "", ("closed_through", "day_not_over")),
        (JUNE, JUNE, "", ("closed_through", "closed_already")),
        (JUNE, JUNE + timedelta(days=1), " ", ("note", "opening_needs_reason")),
        (JUNE, JUNE + timedelta(days=1), "A receipt was found", None),
    ],
)
def test_what_can_be_closed(through: date, closed: date | None, note: str, fault: tuple[str, str] | None) -> None:
    data = PeriodClosing(id=UUID(int=1), closed_through=through, note=note)
    found = closing_faults(data, closed_through=closed, today=date(2026, 11, 30))
    assert [(one.field, one.code) for one in found] == ([fault] if fault else [])


COUNTED = CountedTakings(method=PaymentMethod.CASH, expected_minor=12000, counted_minor=11800)


@pytest.mark.parametrize(
    ("through", "counted", "fault"),
    [
        (date(2026, 11, 30), (COUNTED,), None),
        (date(2026, 12, 1), (COUNTED,), ("closed_through", "day_not_over")),
        (JUNE, (COUNTED, COUNTED), ("counted", "counted_twice")),
    ],
)
def test_today_is_closed_once_its_takings_are_counted(
    through: date, counted: tuple[CountedTakings, ...], fault: tuple[str, str] | None
) -> None:
    data = PeriodClosing(id=UUID(int=1), closed_through=through, counted=counted)
    found = closing_faults(data, closed_through=None, today=date(2026, 11, 30))
    assert [(one.field, one.code) for one in found] == ([fault] if fault else [])


def test_what_was_counted_is_kept_and_today_is_closed(crew: Crew) -> None:
    counted = [{"method": "cash", "expected_minor": 12000, "counted_minor": 11800}]
    _close(crew.office, today(), counted=counted, note="Not known")
    with in_shop(crew.shop_id):
        closed = PeriodClose.objects.get()
        assert (closed.counted, closed.closed_through) == (counted, today())


def test_whoever_keeps_the_books_names_the_accounts_and_nobody_else(crew: Crew) -> None:
    named = {"id": crew.shop_id, "base": {"accounts": no_accounts()}, "set": {"accounts": {"labor": "4100"}}}
    with pytest.raises(Forbidden):
        do(crew.mechanic, edit_account_names, **named)
    do(crew.office, edit_account_names, **named)
    with in_shop(crew.shop_id):
        assert BillingSettings.objects.get().accounts["labor"] == "4100"
    with pytest.raises(Forbidden):
        do(crew.office, edit_billing_settings, id=crew.shop_id, base={"payment_days": 14}, set={"payment_days": 30})


def test_the_last_closed_day_is_closed_and_the_next_one_open() -> None:
    refuse_closed(JUNE, None, field="paid_on")
    refuse_closed(JUNE + timedelta(days=1), JUNE, field="paid_on")
    with pytest.raises(Conflict) as refused:
        refuse_closed(JUNE, JUNE, field="paid_on")
    assert (refused.value.code, refused.value.fields[0].field) == ("period_closed", "paid_on")


def _close(actor: Actor, through: date, **more: object) -> None:
    do(actor, close_period, id=uuid7(), closed_through=through.isoformat(), **more)


def _entry(job_id: UUID, day: date) -> dict[str, Any]:
    at = f"{day.isoformat()}T18:00:00Z"
    return {"id": str(uuid7()), "job_id": str(job_id), "method": "cash", "amount_minor": 500, "paid_at": at}


def test_a_payment_of_a_closed_day_is_held_until_the_day_is_open(crew: Crew) -> None:
    job, day = a_job(crew.owner), today() - timedelta(days=9)
    _close(crew.owner, day)
    (late,) = push(crew.mechanic, ("record_payment", _entry(job, day)))
    (after,) = push(crew.mechanic, ("record_payment", _entry(job, day + timedelta(days=1))))
    assert (late.status, late.code, after.status) == ("held", "period_closed", "applied")
    issue = Issue.objects.get(shop_id=crew.owner.shop_id, command_id=late.id)
    assert issue.state == Issue.State.OPEN
    assert Payment.objects.filter(shop=crew.owner.shop_id).count() == 1
    with pytest.raises(Invalid):
        _close(crew.owner, day - timedelta(days=1))
    _close(crew.owner, day - timedelta(days=1), note="A payment came late")
    assert closed_through(crew.owner) == day - timedelta(days=1)
    do(crew.owner, settle_issue, id=issue.id, choice="ours")
    assert Payment.objects.filter(shop=crew.owner.shop_id).count() == 2
    assert PeriodClose.objects.filter(shop=crew.owner.shop_id).count() == 2


def test_a_mistake_of_a_closed_day_is_reversed_today(crew: Crew) -> None:
    job, day = a_job(crew.owner), today() - timedelta(days=9)
    entry = _entry(job, day)
    do(crew.owner, record_payment, **entry)
    _close(crew.owner, day)
    reversed_at = f"{today().isoformat()}T12:00:00Z"
    reversal = do(crew.owner, reverse_payment, id=uuid7(), reverses_id=entry["id"], paid_at=reversed_at)
    assert reversal.paid_on > day


def test_a_mechanic_closes_nothing(crew: Crew) -> None:
    with pytest.raises(Forbidden):
        _close(crew.mechanic, today() - timedelta(days=3))
