"""Health checks and figures: what each asks, what it says, and that several web processes count together."""

import http.client
import json
import re
import shutil
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.test import Client
from prometheus_client.parser import text_string_to_metric_families
from pytest_django import Settings
from pytest_django.fixtures import DjangoAssertNumQueries

from shopapi.core.background import after_commit
from shopapi.core.tenancy import in_shop
from shopapi.launch.servers import PRIVATE_LOG
from tests.factories.crews import open_crew
from tests.site import LiveSite

TOKEN = "a-token-of-more-than-twenty-characters"
NAMES = {
    "drawbar_http_requests",
    "drawbar_http_request_seconds",
    "drawbar_info",
    "drawbar_disk_free_bytes",
    "drawbar_database_up",
    "drawbar_outbox_pending",
    "drawbar_outbox_failed",
    "drawbar_outbox_oldest_seconds",
    "drawbar_broker_up",
    "drawbar_queue_length",
}


def figures(text: str) -> dict[str, float]:
    """Each sample by its name and labels, read by the client library's own parser."""
    return {
        f"{sample.name}{json.dumps(sample.labels, sort_keys=True) if sample.labels else ''}": sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_liveness_asks_nothing(db: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_num_queries(0):
        assert Client().get("/livez").content == b"alive\n"


def test_readiness_says_version_migrations_oldest_work_and_room(db: None) -> None:
    said = Client().get("/readyz").json()
    assert said.keys() == {
        "ready",
        "version",
        "database",
        "migrations_applied",
        "oldest_pending_seconds",
        "free_bytes",
        "degraded",
    }
    assert re.fullmatch(r"\d+\.\d+\.\d+", said["version"])
    assert said["migrations_applied"] > 20
    assert (said["ready"], said["oldest_pending_seconds"], said["degraded"]) == (True, 0, [])


def test_broker_down_is_degraded_but_ready(db: None, settings: Settings) -> None:
    settings.REDIS_URL = "redis://localhost:1/0"
    answer = Client().get("/readyz")
    assert (answer.status_code, answer.json()["degraded"]) == (200, ["broker does not answer"])


def test_full_disk_shows(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda folder: SimpleNamespace(free=1_000_000))
    answer = Client().get("/readyz")
    assert (answer.status_code, answer.json()["degraded"]) == (200, ["disk full"])


def test_metrics_need_their_token(db: None, settings: Settings) -> None:
    ask = Client(headers={"Authorization": f"Bearer {TOKEN}"})
    assert ask.get("/metrics").status_code == 404, "none is set"
    settings.METRICS_TOKEN = TOKEN
    assert Client().get("/metrics").status_code == 404
    assert Client(headers={"Authorization": "Bearer wrong"}).get("/metrics").status_code == 404
    answer = ask.get("/metrics")
    assert (answer.status_code, answer.headers["Content-Type"].split(";")[0]) == (200, "text/plain")
    found = {family.name for family in text_string_to_metric_families(answer.content.decode())}
    assert found == NAMES


def test_metrics_tell_of_the_outbox_the_broker_and_requests_but_of_no_shop(db: None, settings: Settings) -> None:
    settings.METRICS_TOKEN = TOKEN
    ask = Client(headers={"Authorization": f"Bearer {TOKEN}"})
    crews = [open_crew("Alder Yard"), open_crew("Birch Yard")]
    before = figures(ask.get("/metrics").content.decode())
    for crew in crews:
        with in_shop(crew.shop_id):
            after_commit("core.sweep_outbox", shop_id=crew.shop_id, of="this test")
    Client().get("/livez")
    text = ask.get("/metrics").content.decode()
    after = figures(text)
    assert after["drawbar_outbox_pending"] - before["drawbar_outbox_pending"] == 2, "of both shops"
    live = 'drawbar_http_requests_total{"method": "GET", "route": "livez", "status": "200"}'
    assert after[live] == before.get(live, 0) + 1
    assert (after["drawbar_broker_up"], after["drawbar_database_up"]) == (1, 1)
    assert not [crew.shop_id for crew in crews if str(crew.shop_id) in text or "Yard" in text]
    settings.REDIS_URL = "redis://localhost:1/0"
    assert figures(ask.get("/metrics").content.decode())["drawbar_broker_up"] == 0


def test_web_processes_count_together(live_site: LiveSite) -> None:
    """Gunicorn runs two; each connection reaches either, and any of them tells the sum."""
    live = 'drawbar_http_requests_total{"method": "GET", "route": "livez", "status": "200"}'
    before = ask_metrics(live_site)[live]
    for _ in range(40):
        get(live_site, "/livez")
    counts = {ask_metrics(live_site)[live] for _ in range(6)}
    assert counts == {before + 40}


def get(site: LiveSite, path: str, **headers: str) -> bytes:
    connection = http.client.HTTPConnection("localhost", site.port, timeout=10)
    try:
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        assert answer.status == 200
        return answer.read()
    finally:
        connection.close()


def ask_metrics(site: LiveSite) -> dict[str, float]:
    token = site.environment["DRAWBAR_METRICS_TOKEN"]
    return figures(get(site, "/metrics", Authorization=f"Bearer {token}").decode())


def test_log_of_the_database_holds_no_values(live_site: LiveSite) -> None:
    """A failing statement with a parameter and a row: the log has the error alone."""
    import psycopg  # noqa: PLC0415 - this test alone talks to the server past Django

    secret = "winnie@stroud.example"
    with psycopg.connect(live_site.environment["DATABASE_URL"]) as connection:
        connection.execute("CREATE TEMPORARY TABLE private_of_test (email text UNIQUE)")
        with pytest.raises(psycopg.errors.UniqueViolation, match=secret):
            connection.execute("INSERT INTO private_of_test SELECT %s FROM generate_series(1, 2)", [secret])
    log = (settings.DATA_DIR / "log" / "postgres.log").read_text()
    assert "private_of_test_email_key" in log, "the error is there"
    assert secret not in log
    assert "INSERT INTO private_of_test" not in log
    compose = (settings.ROOT / "docker-compose.yml").read_text()
    for name, value in PRIVATE_LOG.items():
        assert f"-c {name}={value}" in compose
