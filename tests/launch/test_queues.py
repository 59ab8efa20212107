"""A real broker and worker after an hour without a worker: new work goes before waiting periodic work."""

import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from uuid import UUID

import pytest
from celery import current_app
from celery.beat import ScheduleEntry
from django.conf import settings
from redis import Redis

from shopapi.config.schedule import TICKS
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Quote
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.site import LiveSite

# An hour of the schedule: 1,200 sweeps of the outbox, and the others.
HOUR = timedelta(hours=1)
SETTLED = 30.0


@pytest.fixture
def broker() -> Iterator[Redis]:
    """The broker of this run, empty before and after."""
    with Redis.from_url(settings.REDIS_URL) as broker:
        broker.flushdb()
        yield broker
        broker.flushdb()


def send_hour_of_ticks(**changed: object) -> int:
    """Send what beat sends in an hour, with beat's own options; returns how many."""
    sent = 0
    for name, entry in settings.CELERY_BEAT_SCHEDULE.items():
        options = ScheduleEntry(name=name, app=current_app, **entry).options or {}
        for _ in range(HOUR // entry["schedule"]):
            current_app.send_task(entry["task"], **{**options, **changed})
            sent += 1
    return sent


def wait_for(condition: Callable[[], bool]) -> None:
    limit = time.monotonic() + SETTLED
    while not condition():
        assert time.monotonic() < limit, f"it did not happen within {SETTLED} s"
        time.sleep(0.02)


def pdf_is_ready(crew: Crew, quote_id: UUID) -> bool:
    with in_shop(crew.shop_id):
        return Quote.objects.get(id=quote_id).pdf_state == "ready"


def test_new_pdf_is_made_before_an_hour_of_waiting_ticks(live_site: LiveSite, broker: Redis) -> None:
    crew = open_crew()
    # Without an expiry: the worker has to go past all of them.
    sent = send_hour_of_ticks(expires=None)
    assert sent >= 1_400
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    assert broker.llen(TICKS) == sent
    live_site.start_worker()
    wait_for(lambda: pdf_is_ready(crew, quote_id))
    left = broker.llen(TICKS)
    # The worker fetches the next message while this test looks.
    assert left >= sent - 60, f"{sent - left} ticks ran before the PDF"


def test_expired_ticks_are_dropped_without_running(live_site: LiveSite, broker: Redis) -> None:
    sent = send_hour_of_ticks(expires=0.2)
    time.sleep(0.3)
    live_site.start_worker()
    began = time.monotonic()
    wait_for(lambda: broker.llen(TICKS) == 0 and broker.hlen("unacked") == 0)
    # Running them takes more than 30 s; the start of a worker alone takes a few.
    assert time.monotonic() - began < 20, f"{sent} ticks took so long"


def test_every_tick_expires_within_its_interval_or_some_seconds() -> None:
    for name, entry in settings.CELERY_BEAT_SCHEDULE.items():
        assert entry["options"]["queue"] == TICKS, name
        assert 20 <= entry["options"]["expires"] <= max(20, entry["schedule"].total_seconds()), name
