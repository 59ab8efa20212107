"""A machine that is ready: its customer gets one message, which waits for quiet hours and for a change of mind."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from pytest_django import Settings

from shopapi.accounts.models import Shop
from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.rendering import show_stored
from shopapi.core.tenancy import in_shop
from shopapi.jobs import services as job_services
from shopapi.jobs.models import Job
from shopapi.jobs.services import move_job
from shopapi.notices.models import Notice
from shopapi.notices.services.preferences import opt_out
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

# A Tuesday, ten in the morning in Chicago, and ten at night.
TEN = datetime(2026, 5, 5, 15, 0, tzinfo=UTC)
NIGHT = datetime(2026, 5, 6, 3, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.SMTP = {"host": "localhost", "port": 1}
    settings.SMS = None
    return open_crew()


def a_ready_job(crew: Crew, *, at: datetime = TEN, **customer: Any) -> UUID:
    job = work.a_job(crew.mechanic, customer_id=work.a_customer(crew.owner, **customer))
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    move(crew, job, "ready", at=at)
    return job


def move(crew: Crew, job: UUID, *stages: str, at: datetime = TEN) -> None:
    with held_at(at):
        for stage in stages:
            do(crew.mechanic, move_job, id=job, stage=stage)


def notices(crew: Crew) -> list[tuple[str, str, str]]:
    with in_shop(crew.shop_id):
        found = Notice.objects.filter(template="machine_ready").order_by("created_at", "id")
        return [(notice.channel, notice.address, notice.state) for notice in found]


def test_the_customer_gets_one_message(crew: Crew) -> None:
    job = a_ready_job(crew)
    assert notices(crew) == [("email", "winnie@stroud.example", "waiting")]
    with in_shop(crew.shop_id):
        notice = Notice.objects.get()
        number = Job.objects.get(id=job).number
    assert (notice.about_kind, notice.about_id, notice.name) == ("job", job, "Winnie Stroud")
    assert (notice.values["job"], notice.values["customer"]) == (number, "Winnie Stroud")
    assert notice.not_before == TEN + timedelta(minutes=5)
    # Once it has gone out, a second round on the bench sends no other.
    with in_shop(crew.shop_id):
        Notice.objects.update(state="sent")
    move(crew, job, "repair", "testing", "ready")
    assert notices(crew) == [("email", "winnie@stroud.example", "sent")]


def test_of_two_messages_posted_at_once_one_is_kept(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    """As where neither of two sees the other's message: what is left is the key, which the database keeps unique."""
    job = a_ready_job(crew)
    monkeypatch.setattr(job_services, "notified_of", lambda *_: False)
    monkeypatch.setattr(job_services, "count_notices", lambda *_: 0)
    move(crew, job, "repair", "testing", "ready")
    # The first was withdrawn on the way back, and no second has its key.
    assert notices(crew) == [("email", "winnie@stroud.example", "withheld")]
    with in_shop(crew.shop_id):
        assert Notice.objects.get().dedupe_key == f"machine_ready:{job}:0"


def test_it_waits_for_the_end_of_quiet_hours(crew: Crew) -> None:
    a_ready_job(crew, at=NIGHT)
    with in_shop(crew.shop_id):
        # Eight in the morning there.
        assert Notice.objects.get().not_before == datetime(2026, 5, 6, 13, 0, tzinfo=UTC)


def test_moved_back_in_time_it_is_withheld_and_sent_when_it_is_ready_after_all(crew: Crew) -> None:
    job = a_ready_job(crew)
    move(crew, job, "testing")
    assert [state for *_, state in notices(crew)] == ["withheld"]
    with in_shop(crew.shop_id):
        assert show_stored(Notice.objects.get().reason) == "This no longer applies."
    move(crew, job, "ready")
    assert [state for *_, state in notices(crew)] == ["withheld", "waiting"]
    # It went back before the message went out.
    move(crew, job, "returned")
    assert [state for *_, state in notices(crew)] == ["withheld", "withheld"]


def test_the_shop_may_switch_it_off(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        shop = Shop.objects.get()
        shop.follow_ups = {**shop.follow_ups, "notify_ready": False}
        shop.save()
    a_ready_job(crew)
    assert notices(crew) == []


@pytest.mark.parametrize(
    ("customer", "posted"),
    [
        ({"email": ""}, [("sms", "+15550142210", "by_hand")]),
        ({"email": "no address"}, [("sms", "+15550142210", "by_hand")]),
        ({"phone": "none"}, [("email", "winnie@stroud.example", "waiting")]),
        ({"phone": "", "email": ""}, []),
        # As the customer asked, even if a member has to send it; a wish without an address is none.
        ({"contact_by": "text"}, [("sms", "+15550142210", "by_hand")]),
        ({"contact_by": "text", "phone": ""}, [("email", "winnie@stroud.example", "waiting")]),
        ({"contact_by": "call"}, [("email", "winnie@stroud.example", "waiting")]),
    ],
)
def test_it_goes_where_the_customer_can_be_written_to(
    crew: Crew, customer: dict[str, Any], posted: list[tuple[str, str, str]]
) -> None:
    a_ready_job(crew, **customer)
    assert notices(crew) == posted


def test_it_goes_by_text_message_where_both_are_set_up(crew: Crew, settings: Settings) -> None:
    settings.SMS = {"url": "http://localhost:1"}
    a_ready_job(crew)
    assert notices(crew) == [("sms", "+15550142210", "waiting")]


def test_who_wants_no_mail_gets_none(crew: Crew) -> None:
    do(crew.owner, opt_out, id=uuid7(), channel="email", address="winnie@stroud.example")
    a_ready_job(crew)
    assert notices(crew) == [("sms", "+15550142210", "by_hand")]
