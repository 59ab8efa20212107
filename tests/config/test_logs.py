"""Log lines: what is in them, what never is, and how few there are when nothing happens."""

import io
import json
import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

import pytest
from celery import current_app
from django.conf import settings
from django.db import DatabaseError, connection
from django.test import Client
from kombu.exceptions import OperationalError
from redis import Redis

from shopapi.config.logs import LOGGING, BrokerOutage, IdleTicksDropped, JsonLines
from shopapi.core.tasks import sweep_outbox
from tests.factories.crews import Browser, Crew, open_crew
from tests.launch.test_queues import wait_for
from tests.site import LiveSite

SECRET_WORDS = ("Winnie", "winnie@stroud.example", "p4ssw0rd", "secretsecret")


@contextmanager
def lines() -> Iterator[list[dict[str, Any]]]:
    """The lines that the product's handler would write."""
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(JsonLines())
    for one in (IdleTicksDropped(), BrokerOutage()):
        handler.addFilter(one)
    root = logging.getLogger()
    root.addHandler(handler)
    found: list[dict[str, Any]] = []
    try:
        yield found
    finally:
        root.removeHandler(handler)
        found += [json.loads(line) for line in out.getvalue().splitlines()]


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def test_line_of_a_request_says_who_and_what_but_nothing_personal(crew: Crew) -> None:
    browser = Browser(crew.mechanic)
    with lines() as said:
        answer = browser.client.get(
            "/api/v1/customers?search=Winnie&email=winnie@stroud.example", headers={"X-Request-Id": "from-the-proxy.1"}
        )
        browser.post("customers", {"id": "secretsecret", "name": "Winnie p4ssw0rd"})
    assert answer.headers["X-Request-Id"] == "from-the-proxy.1"
    read, wrote = [line for line in said if line["logger"] == "shopapi.access"]
    assert read.keys() >= {"time", "level", "request_id", "ms"}
    assert {name: read[name] for name in ("method", "route", "status", "shop_id", "member_id", "request_id")} == {
        "method": "GET",
        "route": "customers",
        "status": answer.status_code,
        "shop_id": str(crew.shop_id),
        "member_id": str(crew.mechanic.member_id),
        "request_id": "from-the-proxy.1",
    }
    assert read["user_id"]
    assert read["ms"] > 0
    assert (wrote["method"], wrote["status"]) == ("POST", 422)
    assert len(wrote["request_id"]) == 32
    assert not [word for word in SECRET_WORDS if word in json.dumps(said)]


def test_request_id_that_could_forge_a_line_is_replaced(db: None) -> None:
    for forged in ("a b", 'x"}', "", "x" * 65, "ü"):
        given = Client().get("/livez", headers={"X-Request-Id": forged}).headers["X-Request-Id"]
        assert given != forged
        assert UUID(given)


def test_other_lines_of_a_request_have_its_id(crew: Crew) -> None:
    with lines() as said:
        Client().get("/api/v1/nothing-here", headers={"X-Request-Id": "abc"})
    assert {line["request_id"] for line in said} == {"abc"}
    assert len(said) >= 2, "Django's own line too"


def test_probes_are_logged_only_when_they_fail(db: None) -> None:
    with lines() as said:
        for path in ("/livez", "/readyz", "/workz"):
            assert Client().get(path).status_code == 200
        assert Client().get("/metrics").status_code == 404
    assert [line["route"] for line in said if line["logger"] == "shopapi.access"] == ["metrics"]


def test_error_of_the_database_is_logged_without_its_values(db: None) -> None:
    address = "winnie@stroud.example"
    with lines() as said:
        try:
            with connection.cursor() as cursor:
                cursor.execute("CREATE TEMPORARY TABLE t (email text UNIQUE)")
                cursor.execute("INSERT INTO t VALUES (%s), (%s)", [address, address])
        except DatabaseError as error:
            logging.getLogger("shopapi.test").exception("it failed: %r", error)  # noqa: TRY401 - Celery writes it so too
    [line] = said
    assert "duplicate key value violates unique constraint" in line["exception"]
    assert "winnie" not in json.dumps(line)


def test_outage_of_the_broker_is_one_line_a_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    instant = [1000.0]
    monkeypatch.setattr("shopapi.config.logs.time.monotonic", lambda: instant[0])
    with lines() as said:
        for _ in range(40):
            instant[0] += 3
            error = OperationalError("Error 111 connecting to valkey:6379. Connection refused.")
            # As celery.beat and celery.worker.consumer write them.
            logging.getLogger("celery.beat").error("Message Error: %s\n%s", error, ["a stack"], exc_info=error)
            logging.getLogger("celery.worker.consumer.consumer").error(
                "consumer: Cannot connect to %s: %s.\n%s\n", "redis://", error, "Trying again"
            )
        # A failure of the work itself is always kept.
        logging.getLogger("celery.app.trace").error("Task x raised unexpected: Connection error")
    outage = [line for line in said if line["message"].startswith("The broker does not answer")]
    assert len(outage) == 2, "in two minutes"
    assert all("exception" not in line for line in outage)
    assert [line["message"] for line in said if line not in outage] == ["Task x raised unexpected: Connection error"]


def test_idle_worker_writes_nothing(live_site: LiveSite) -> None:
    with Redis.from_url(settings.REDIS_URL) as broker:
        broker.flushdb()
    # The log of the session goes on.
    started = len(live_site.log("worker")) if live_site.has_log("worker") else 0
    live_site.start_worker()
    wait_for(lambda: "ready." in live_site.log("worker")[started:])
    before = len(live_site.log("worker"))
    for name, entry in settings.CELERY_BEAT_SCHEDULE.items():
        current_app.send_task(name, **entry["options"])
    crew = open_crew()
    time.sleep(3)
    assert live_site.log("worker")[before:] == ""
    # What fails is said, in the same form.
    current_app.send_task("quotes.make_pdf", args=[str(crew.shop_id), "no id"])
    wait_for(lambda: "Error" in live_site.log("worker")[before:])
    failed = [json.loads(line) for line in live_site.log("worker")[before:].splitlines()]
    assert {line["level"] for line in failed} >= {"ERROR"}


def test_settings_use_these_lines() -> None:
    assert settings.LOGGING is LOGGING
    assert LOGGING["formatters"]["line"]["()"] is JsonLines
    assert sweep_outbox.name in settings.CELERY_BEAT_SCHEDULE
