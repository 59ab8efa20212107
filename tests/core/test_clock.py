"""The clock of the test, in the application and in the database; how a held instant comes before it."""

from datetime import timedelta

from shopapi.accounts.models import Device
from shopapi.core.clock import held_at, now, today
from shopapi.core.models import Outbox, SyncCommit
from shopapi.core.tenancy import in_shop
from tests.factories.crews import device_of, open_crew
from tests.shifted_clock import START


def test_application_and_database_show_the_time_of_the_test(db: None) -> None:
    crew = open_crew()
    with in_shop(crew.shop_id):
        device = Device.objects.get(id=device_of(crew.owner))
        commit = SyncCommit.objects.latest("seq")
        work = Outbox.objects.create(shop_id=crew.shop_id, task="notices.send_notice")
        work.refresh_from_db()
    # Of the transaction, the statement, the trigger, the statement, the application.
    times = [START, commit.at, device.created_at, device.changed_at, work.created_at, now()]
    assert times == sorted(times)
    assert times[-1] - START < timedelta(minutes=5)


def test_a_held_instant_is_the_present_within_its_block() -> None:
    later = START + timedelta(days=1)
    with held_at(later):
        assert now() == later
        assert today("Pacific/Kiritimati") == (later + timedelta(hours=14)).date()
    assert START <= now() < later
