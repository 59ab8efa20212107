"""Each follow-up is created on its day with its reason, once, and closed when its matter is over."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import Settings

from shopapi.accounts.models import Shop
from shopapi.core.clock import held_at, now, today
from shopapi.core.errors import Conflict, Forbidden, Invalid
from shopapi.core.tenancy import in_shop
from shopapi.documents.rules import Figures
from shopapi.jobs.models import Finding
from shopapi.jobs.services import edit_job, move_job
from shopapi.labor.models import TimeEntry
from shopapi.labor.services.clock import stop_clock
from shopapi.notices.models import Notice
from shopapi.quotes.models import Quote
from shopapi.quotes.services.drafts import withdraw_quote
from shopapi.reminders import queries
from shopapi.reminders.models import FollowUp
from shopapi.reminders.services import (
    SweepResult,
    drop_follow_up,
    put_off_follow_up,
    sweep_follow_ups,
    take_up_follow_up,
)
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_clock, a_customer, a_finding, a_job, an_offer, do


@pytest.fixture
def crew(db: None, settings: Settings) -> Iterator[Crew]:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    yield open_crew()


def days_later(days: float) -> datetime:
    """So many days of the shop's calendar later, at the same time of day there."""
    return (now().astimezone(ZoneInfo("America/Chicago")) + timedelta(days=days)).astimezone(UTC)


def sweep(crew: Crew, at: datetime) -> SweepResult:
    with held_at(at), in_shop(crew.shop_id):
        return sweep_follow_ups(actor=crew.owner)


def open_follow_ups(crew: Crew) -> dict[str, str]:
    with in_shop(crew.shop_id):
        rows = queries.follow_ups(crew.owner).filter(state="open")
        return {row.kind: queries.show_follow_up(crew.owner, row).why for row in rows}


def enable_only(crew: Crew, **days: object) -> None:
    """Enable these follow-ups only."""
    none = dict.fromkeys(Shop.objects.get(id=crew.shop_id).follow_ups)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(
            follow_ups={**none, "clock_running": False, "ask_customer": False, "notify_ready": False, **days}
        )


def test_unanswered_quote_opens_one_follow_up_until_answered(crew: Crew) -> None:
    enable_only(crew, quote_unanswered=5)
    quote = an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, days_later(4)) == SweepResult(0, 0)
    assert sweep(crew, days_later(5)) == SweepResult(1, 0)
    assert sweep(crew, days_later(6)) == SweepResult(0, 0)
    why = open_follow_ups(crew)["quote_unanswered"]
    assert re.search(r"Winnie Stroud: quoted on [A-Z][a-z]+ \d{1,2}, \d{4}, no answer yet", why), why
    do(crew.owner, withdraw_quote, id=quote)
    assert sweep(crew, days_later(7)) == SweepResult(0, 1)
    assert open_follow_ups(crew) == {}
    assert Notice.objects.count() == 0, "customers are asked only when the shop has switched it on"


def test_lapsing_quote_opens_a_follow_up(crew: Crew) -> None:
    enable_only(crew, quote_lapsing=2)
    an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, days_later(27)) == SweepResult(0, 0)
    assert sweep(crew, days_later(28.3)).created == 1
    assert "good until" in open_follow_ups(crew)["quote_lapsing"]


def test_customers_are_reminded_by_mail_if_enabled(crew: Crew) -> None:
    enable_only(crew, quote_unanswered=5, ask_customer=True)
    an_offer(crew.owner, a_job(crew.owner, customer_id=a_customer(crew.owner, email="no address")))
    quote = an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, days_later(6)).created == 2
    with in_shop(crew.shop_id):
        (notice,) = Notice.objects.all()
        assert (notice.template, notice.address, notice.state) == ("quote_reminder", "winnie@stroud.example", "by_hand")
        assert notice.values["total"] == "$163.00"
        until = Quote.objects.get(id=quote).valid_until
        assert until is not None
        assert notice.values["until"] == Figures("en-US", "USD", "UTC").day(until)
        assert f"{until.day}, {until.year}" in notice.values["until"]


def test_running_clock_notifies_its_member(crew: Crew) -> None:
    enable_only(crew, clock_running=True)
    clock = a_clock(crew.mechanic, a_job(crew.owner))
    assert sweep(crew, now() + timedelta(hours=9)) == SweepResult(0, 0)
    assert sweep(crew, now() + timedelta(hours=11)).created == 1
    assert sweep(crew, now() + timedelta(hours=12)) == SweepResult(0, 0)
    with in_shop(crew.shop_id):
        (notice,) = Notice.objects.all()
        assert (notice.channel, notice.address) == ("push", str(crew.mechanic.member_id))
        started_at = TimeEntry.objects.get(id=clock).started_at
        assert notice.values["since"] == Figures("en-US", "USD", "America/Chicago").time_of_day(started_at)
        assert notice.values["since"].endswith(("AM", "PM"))
    do(crew.mechanic, stop_clock, id=clock, ended_at=now())
    assert sweep(crew, days_later(1)) == SweepResult(0, 1)


def test_promised_day_fires_again_only_when_changed(crew: Crew) -> None:
    enable_only(crew, promised_near=1)
    on = today("America/Chicago") + timedelta(days=3)
    job = a_job(crew.owner, promised_on=on)
    assert sweep(crew, days_later(1)) == SweepResult(0, 0)
    assert sweep(crew, days_later(2)).created == 1
    later = on + timedelta(days=1)
    do(crew.owner, edit_job, id=job, base={"promised_on": on}, set={"promised_on": later})
    assert sweep(crew, days_later(2)) == SweepResult(0, 1)
    assert sweep(crew, days_later(3)).created == 1
    for stage in ("repair", "testing", "ready"):
        do(crew.owner, move_job, id=job, stage=stage)
    assert sweep(crew, days_later(3)) == SweepResult(0, 1)


def test_idle_job_and_check_in_after_return(crew: Crew) -> None:
    enable_only(crew, job_still=7, check_in=30, service_due=335)
    job = a_job(crew.owner)
    assert sweep(crew, days_later(8)).created == 1
    for stage in ("repair", "testing", "ready", "returned"):
        do(crew.owner, move_job, id=job, stage=stage)
    assert sweep(crew, days_later(8)) == SweepResult(0, 1)
    assert sweep(crew, days_later(31)).created == 1
    assert list(open_follow_ups(crew)) == ["check_in"]
    assert sweep(crew, days_later(340)) == SweepResult(1, 1)
    assert "Offer a service" in open_follow_ups(crew)["service_due"]


def test_declined_safety_work_opens_a_follow_up(crew: Crew) -> None:
    enable_only(crew, safety_declined=30)
    finding = a_finding(crew.owner, a_job(crew.owner), rank="safety", words="The seat switch {does} nothing.")
    with in_shop(crew.shop_id):
        Finding.objects.filter(id=finding).update(decided="declined")
    assert sweep(crew, days_later(31)).created == 1
    assert open_follow_ups(crew)["safety_declined"].endswith("The seat switch (does) nothing.")
    with in_shop(crew.shop_id):
        Finding.objects.filter(id=finding).update(decided="accepted")
    assert sweep(crew, days_later(32)) == SweepResult(0, 1)


def test_disabled_kinds_are_closed(crew: Crew) -> None:
    enable_only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, days_later(6)).created == 1
    enable_only(crew)
    assert sweep(crew, days_later(6)) == SweepResult(0, 1)


def test_follow_up_can_be_put_off_dropped_and_taken_up(crew: Crew) -> None:
    enable_only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    sweep(crew, days_later(6))
    with in_shop(crew.shop_id):
        row = FollowUp.objects.get()
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, put_off_follow_up, id=row.id, until=today("America/Chicago"))
    assert refused.value.fields[0].field == "until"
    until = today("America/Chicago") + timedelta(days=30)
    assert do(crew.mechanic, put_off_follow_up, id=row.id, until=until).until == until
    do(crew.mechanic, drop_follow_up, id=row.id)
    assert sweep(crew, days_later(9)) == SweepResult(0, 0), "dropped is dropped"
    with pytest.raises(Conflict):
        do(crew.mechanic, drop_follow_up, id=row.id)
    back = do(crew.mechanic, take_up_follow_up, id=row.id)
    assert (back.state, back.until) == ("open", None)
    shown = queries.show_follow_up(crew.mechanic, back)
    assert "{" not in shown.why


def test_sweep_does_not_touch_another_shop(crew: Crew) -> None:
    enable_only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    other = open_crew("Other Yard")
    assert sweep(other, days_later(6)) == SweepResult(0, 0)
    with pytest.raises(Forbidden):
        crew.mechanic.require("edit_shop")


DST = [datetime(2026, 3, 8, tzinfo=UTC), datetime(2026, 11, 1, tzinfo=UTC), datetime(2027, 3, 28, tzinfo=UTC)]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    offered=st.builds(
        lambda night, minutes: night + timedelta(minutes=minutes), st.sampled_from(DST), st.integers(-2160, 2160)
    ),
    days=st.integers(1, 40),
    zone=st.sampled_from(["America/Chicago", "Europe/Berlin", "Australia/Lord_Howe", "Pacific/Kiritimati"]),
)
def test_days_follow_the_shops_zone_across_daylight_saving(
    crew: Crew, quote: UUID, offered: datetime, days: int, zone: str
) -> None:
    """Due exactly on the shop's n-th date after the one on which it was offered there; not an hour earlier."""
    enable_only(crew, quote_unanswered=days)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(zone=zone)
        Quote.objects.filter(id=quote).update(offered_at=offered)
        FollowUp.objects.all().delete()
    first = datetime.combine(
        offered.astimezone(ZoneInfo(zone)).date() + timedelta(days=days), datetime.min.time(), ZoneInfo(zone)
    ).astimezone(UTC)
    assert sweep(crew, first - timedelta(seconds=1)).created == 0
    assert sweep(crew, first).created == 1


@pytest.fixture
def quote(crew: Crew) -> UUID:
    return an_offer(crew.owner, a_job(crew.owner))
