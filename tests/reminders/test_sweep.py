"""Each follow-up comes on its day with its reason, once, and goes when its matter is settled."""

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
from shopapi.jobs.models import Finding
from shopapi.jobs.services import edit_job, move_job
from shopapi.labor.services.clocking import stop_clock
from shopapi.notices.models import Notice
from shopapi.quotes.models import Quote
from shopapi.quotes.services.writing import withdraw_quote
from shopapi.reminders import queries
from shopapi.reminders.models import FollowUp
from shopapi.reminders.rules import why
from shopapi.reminders.services import (
    Swept,
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


def after(days: float) -> datetime:
    return now() + timedelta(days=days)


def sweep(crew: Crew, at: datetime) -> Swept:
    with held_at(at), in_shop(crew.shop_id):
        return sweep_follow_ups(actor=crew.owner)


def open_ones(crew: Crew) -> dict[str, str]:
    with in_shop(crew.shop_id):
        rows = FollowUp.objects.filter(state="open")
        return {row.kind: why(row.kind, row.facts) for row in rows}


def only(crew: Crew, **days: object) -> None:
    """The shop wants these follow-ups and no others."""
    none = dict.fromkeys(Shop.objects.get(id=crew.shop_id).follow_ups)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(
            follow_ups={**none, "clock_running": False, "ask_owner": False, **days}
        )


def test_a_quote_without_an_answer_comes_after_its_days_once_and_goes_with_the_answer(crew: Crew) -> None:
    only(crew, quote_unanswered=5)
    quote = an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, after(4)) == Swept(0, 0)
    assert sweep(crew, after(5)) == Swept(1, 0)
    assert sweep(crew, after(6)) == Swept(0, 0)
    assert "Winnie Stroud was offered on" in open_ones(crew)["quote_unanswered"]
    do(crew.owner, withdraw_quote, id=quote)
    assert sweep(crew, after(7)) == Swept(0, 1)
    assert open_ones(crew) == {}
    assert Notice.objects.count() == 0, "owners are asked only when the shop has switched it on"


def test_a_quote_about_to_lapse(crew: Crew) -> None:
    only(crew, quote_lapsing=2)
    an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, after(27)) == Swept(0, 0)
    assert sweep(crew, after(28.3)).made == 1
    assert "holds until" in open_ones(crew)["quote_lapsing"]


def test_owners_are_asked_by_mail_when_the_shop_wants_it(crew: Crew) -> None:
    only(crew, quote_unanswered=5, ask_owner=True)
    an_offer(crew.owner, a_job(crew.owner, customer_id=a_customer(crew.owner, email="no address")))
    an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, after(6)).made == 2
    with in_shop(crew.shop_id):
        (notice,) = Notice.objects.all()
        assert (notice.template, notice.address, notice.state) == ("quote_reminder", "winnie@stroud.example", "by_hand")
        assert notice.values["total"] == "163.00 USD"


def test_a_clock_left_running_is_told_to_its_member(crew: Crew) -> None:
    only(crew, clock_running=True)
    clock = a_clock(crew.mechanic, a_job(crew.owner))
    assert sweep(crew, after(9 / 24)) == Swept(0, 0)
    assert sweep(crew, after(11 / 24)).made == 1
    assert sweep(crew, after(12 / 24)) == Swept(0, 0)
    with in_shop(crew.shop_id):
        (notice,) = Notice.objects.all()
        assert (notice.channel, notice.address) == ("push", str(crew.mechanic.member_id))
    do(crew.mechanic, stop_clock, id=clock, ended_at=datetime.now(UTC))
    assert sweep(crew, after(1)) == Swept(0, 1)


def test_a_promised_day_comes_again_only_when_it_is_another(crew: Crew) -> None:
    only(crew, promised_near=1)
    on = today("America/Chicago") + timedelta(days=3)
    job = a_job(crew.owner, promised_on=on)
    assert sweep(crew, after(1)) == Swept(0, 0)
    assert sweep(crew, after(2)).made == 1
    later = on + timedelta(days=1)
    do(crew.owner, edit_job, id=job, base={"promised_on": on}, set={"promised_on": later})
    assert sweep(crew, after(2)) == Swept(0, 1)
    assert sweep(crew, after(3)).made == 1
    for stage in ("repair", "proving", "ready"):
        do(crew.owner, move_job, id=job, stage=stage)
    assert sweep(crew, after(3)) == Swept(0, 1)


def test_a_job_without_movement_and_the_call_after_its_return(crew: Crew) -> None:
    only(crew, job_still=7, check_in=30, service_due=335)
    job = a_job(crew.owner)
    assert sweep(crew, after(8)).made == 1
    for stage in ("repair", "proving", "ready", "returned"):
        do(crew.owner, move_job, id=job, stage=stage)
    assert sweep(crew, after(8)) == Swept(0, 1)
    assert sweep(crew, after(31)).made == 1
    assert list(open_ones(crew)) == ["check_in"]
    assert sweep(crew, after(340)) == Swept(1, 1)
    assert "offer a service" in open_ones(crew)["service_due"]


def test_safety_work_that_was_declined(crew: Crew) -> None:
    only(crew, safety_declined=30)
    finding = a_finding(crew.owner, a_job(crew.owner), rank="safety", words="The seat switch {does} nothing.")
    with in_shop(crew.shop_id):
        Finding.objects.filter(id=finding).update(decided="declined")
    assert sweep(crew, after(31)).made == 1
    assert open_ones(crew)["safety_declined"].endswith("The seat switch (does) nothing.")
    with in_shop(crew.shop_id):
        Finding.objects.filter(id=finding).update(decided="accepted")
    assert sweep(crew, after(32)) == Swept(0, 1)


def test_what_the_shop_wants_no_more_goes(crew: Crew) -> None:
    only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    assert sweep(crew, after(6)).made == 1
    only(crew)
    assert sweep(crew, after(6)) == Swept(0, 1)


def test_put_off_dropped_and_taken_up_again(crew: Crew) -> None:
    only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    sweep(crew, after(6))
    with in_shop(crew.shop_id):
        row = FollowUp.objects.get()
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, put_off_follow_up, id=row.id, until=today("America/Chicago"))
    assert refused.value.fields[0].field == "until"
    until = today("America/Chicago") + timedelta(days=30)
    assert do(crew.mechanic, put_off_follow_up, id=row.id, until=until).until == until
    do(crew.mechanic, drop_follow_up, id=row.id)
    assert sweep(crew, after(9)) == Swept(0, 0), "dropped is dropped"
    with pytest.raises(Conflict):
        do(crew.mechanic, drop_follow_up, id=row.id)
    back = do(crew.mechanic, take_up_follow_up, id=row.id)
    assert (back.state, back.until) == ("open", None)
    shown = queries.show_follow_up(crew.mechanic, back)
    assert "{" not in shown.why


def test_another_shop_sees_and_sweeps_nothing_of_it(crew: Crew) -> None:
    only(crew, quote_unanswered=5)
    an_offer(crew.owner, a_job(crew.owner))
    other = open_crew("Other Yard")
    assert sweep(other, after(6)) == Swept(0, 0)
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
def test_a_day_is_the_shops_day_however_clocks_change(
    crew: Crew, quote: UUID, offered: datetime, days: int, zone: str
) -> None:
    """Due exactly on the shop's n-th date after the one on which it was offered there; not an hour earlier."""
    only(crew, quote_unanswered=days)
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(zone=zone)
        Quote.objects.filter(id=quote).update(offered_at=offered)
        FollowUp.objects.all().delete()
    first = datetime.combine(
        offered.astimezone(ZoneInfo(zone)).date() + timedelta(days=days), datetime.min.time(), ZoneInfo(zone)
    ).astimezone(UTC)
    assert sweep(crew, first - timedelta(seconds=1)).made == 0
    assert sweep(crew, first).made == 1


@pytest.fixture
def quote(crew: Crew) -> UUID:
    return an_offer(crew.owner, a_job(crew.owner))
