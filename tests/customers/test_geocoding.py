"""A geocoder spoken by a server on this machine, and what happens while it is slow, silent or wrong."""

import json
from collections.abc import Iterator
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread
from typing import Any
from uuid import UUID

import pytest
from pytest_django import Settings

from shopapi.accounts.queries import system_actor
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Site
from shopapi.customers.services import edit_site, geocoding
from shopapi.customers.tasks import locate_site
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

ADDRESS = "12 Alder Row\nHastings, NE 68901"
BY_CODE = ("40.588000", "postal_code", 15_000)
BARN = {"lat": "40.6000001", "lon": "-98.41", "boundingbox": ["40.599", "40.601", "-98.411", "-98.409"]}
SILENT, DRIPPING = object(), object()


class _Geocoder(ThreadingHTTPServer):
    """Answers each question with the next of `answers`: (status, body); keeps the paths that were asked."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Answering)
        self.over = Event()
        self.answers: list[tuple[int, Any]] = []
        self.asked: list[str] = []


class _Answering(BaseHTTPRequestHandler):
    server: _Geocoder

    def do_GET(self) -> None:
        self.server.asked.append(self.path)
        status, body = self.server.answers.pop(0)
        self.send_response(status)
        if status == 302:
            # To where an answer would be waiting.
            self.send_header("Location", f"http://localhost:{self.server.server_port}{self.path}")
        self.end_headers()
        if body is SILENT:
            self.server.over.wait(60)
        elif body is DRIPPING:
            with suppress(OSError):
                while not self.server.over.wait(0.01):
                    self.wfile.write(b" ")
        else:
            self.wfile.write(body if isinstance(body, bytes) else json.dumps(body).encode())

    def log_message(self, *_: object) -> None:
        """Quiet."""


@pytest.fixture
def geocoder(settings: Settings) -> Iterator[_Geocoder]:
    server = _Geocoder()
    thread = Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    settings.GEOCODER_URL = f"http://127.0.0.1:{server.server_port}"
    yield server
    server.over.set()
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_site(crew: Crew, **more: object) -> UUID:
    fields = {"lat": None, "lon": None, "address": ADDRESS}
    return work.a_site(crew.owner, work.a_customer(crew.owner), **{**fields, **more})


def position(crew: Crew, site_id: UUID) -> tuple[str, str, int | None]:
    with in_shop(crew.shop_id):
        site = Site.objects.get(id=site_id)
    return str(site.lat), site.position_source, site.position_within_m


def pending(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        rows = Outbox.objects.filter(task="customers.locate_site", done_at=None)
        return [str(row.id) for row in rows]


def test_without_a_geocoder_nobody_is_asked(crew: Crew) -> None:
    assert position(crew, a_site(crew)) == BY_CODE
    assert pending(crew) == []


def test_an_address_is_found_in_the_background_and_replaces_its_postal_code(crew: Crew, geocoder: _Geocoder) -> None:
    site = a_site(crew)
    assert position(crew, site) == BY_CODE
    assert geocoder.asked == []
    (outbox_id,) = pending(crew)
    geocoder.answers = [(200, [BARN])]
    locate_site(str(crew.shop_id), outbox_id)
    lat, source, within = position(crew, site)
    assert (lat, source) == ("40.600000", "address")
    # Half the diagonal of its box: 111 m north, 85 m east.
    assert within is not None
    assert 135 <= within <= 145
    assert geocoder.asked == ["/search?q=12+Alder+Row+Hastings%2C+NE+68901&format=jsonv2&limit=1"]
    assert pending(crew) == []


def test_a_position_that_somebody_gave_is_never_looked_up(crew: Crew, geocoder: _Geocoder) -> None:
    given = a_site(crew, lat="40.3", lon="-98.4", position_source="here", position_within_m=8)
    a_site(crew, address="")
    assert pending(crew) == []
    with in_shop(crew.shop_id):
        geocoding.locate_site(actor=system_actor(crew.shop_id), site_id=given)
    assert geocoder.asked == []


@pytest.mark.parametrize(
    "answer",
    [
        (302, b""),
        (503, b""),
        (200, b"<html>"),
        (200, b""),
        (200, SILENT),
        (200, DRIPPING),
        (200, b"[" + b" " * 200_000),
    ],
    ids=["elsewhere", "down", "a page", "nothing", "silent", "dripping", "endless"],
)
def test_one_that_is_silent_is_asked_again_later(
    crew: Crew, geocoder: _Geocoder, answer: tuple[int, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(geocoding, "TIMEOUT", (10, 0.5 if answer[1] is SILENT else 30))
    monkeypatch.setattr(geocoding, "WITHIN_SECONDS", 0.5 if answer[1] is DRIPPING else 30)
    site = a_site(crew)
    (outbox_id,) = pending(crew)
    geocoder.answers = [answer, (200, [BARN])]
    with pytest.raises(geocoding.GeocoderSilent):
        locate_site(str(crew.shop_id), outbox_id)
    # Nobody was sent on to elsewhere, and the place is where it was.
    assert len(geocoder.asked) == 1
    assert position(crew, site) == BY_CODE
    assert pending(crew) == [outbox_id]
    locate_site(str(crew.shop_id), outbox_id)
    assert position(crew, site)[1] == "address"


@pytest.mark.parametrize(
    "answer",
    [
        [],
        {"error": "Unable to geocode"},
        ["40.6"],
        [{**BARN, "lat": "north"}],
        [{**BARN, "lat": "NaN"}],
        [{**BARN, "lat": "91"}],
        [{**BARN, "lon": True}],
        [{**BARN, "lon": None}],
        [{**BARN, "lat": "4" * 1000}],
        # A street of the same name in another state, and a county.
        [{**BARN, "lat": "43.1", "boundingbox": ["43.09", "43.11", "-98.42", "-98.40"]}],
        [{**BARN, "boundingbox": ["40", "41.5", "-99.5", "-97.5"]}],
        [{**BARN, "boundingbox": "everywhere"}],
        [{**BARN, "boundingbox": ["40.5", "40.7", "-98.5"]}],
    ],
)
def test_an_answer_that_cannot_be_believed_changes_nothing(crew: Crew, geocoder: _Geocoder, answer: object) -> None:
    site = a_site(crew)
    geocoder.answers = [(200, answer)]
    locate_site(str(crew.shop_id), *pending(crew))
    assert position(crew, site) == BY_CODE
    assert pending(crew) == []


def test_a_correction_made_meanwhile_stays(crew: Crew, geocoder: _Geocoder, monkeypatch: pytest.MonkeyPatch) -> None:
    site = a_site(crew)
    (outbox_id,) = pending(crew)

    def slow(_: str, __: str) -> object:
        base = {"lat": "40.588", "lon": "-98.391", "position_source": "postal_code", "position_within_m": 15_000}
        here = {"lat": "40.7", "lon": "-98.4", "position_source": "here", "position_within_m": 6}
        do(crew.owner, edit_site, id=site, base=base, set=here)
        return [BARN]

    monkeypatch.setattr(geocoding, "_ask", slow)
    locate_site(str(crew.shop_id), outbox_id)
    assert position(crew, site) == ("40.700000", "here", 6)


def test_another_address_written_meanwhile_is_looked_up_instead(
    crew: Crew, geocoder: _Geocoder, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = a_site(crew)
    (outbox_id,) = pending(crew)

    def slow(_: str, __: str) -> object:
        with in_shop(crew.shop_id):
            Site.objects.filter(id=site).update(address="Behind the mill")
        return [BARN]

    monkeypatch.setattr(geocoding, "_ask", slow)
    with pytest.raises(geocoding.AddressChanged):
        locate_site(str(crew.shop_id), outbox_id)
    assert pending(crew) == [outbox_id]
    assert position(crew, site)[1] == "postal_code"
