"""A geocoder spoken by a server on this machine, and what happens while it is slow, silent or wrong."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from pytest_django import Settings

from shopapi.accounts.queries import system_actor
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Site
from shopapi.customers.services import edit_site, geocoding
from shopapi.customers.tasks import locate_site
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.fake_service import DRIPPING, SILENT, FakeService, fake_service, shortened
from tests.factories.work import do

ADDRESS = "12 Alder Row\nHastings, NE 68901"
BY_CODE = ("40.588000", "postal_code", 15_000)
BARN = {"lat": "40.6000001", "lon": "-98.41", "boundingbox": ["40.599", "40.601", "-98.411", "-98.409"]}


@pytest.fixture
def geocoder(settings: Settings) -> Iterator[FakeService]:
    with fake_service() as server:
        settings.GEOCODER_URL = server.url
        yield server


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


def test_an_address_is_found_in_the_background_and_replaces_its_postal_code(crew: Crew, geocoder: FakeService) -> None:
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


def test_a_position_that_somebody_gave_is_never_looked_up(crew: Crew, geocoder: FakeService) -> None:
    given = a_site(crew, lat="40.3", lon="-98.4", position_source="here", position_within_m=8)
    a_site(crew, address="")
    assert pending(crew) == []
    with in_shop(crew.shop_id):
        assert geocoding.begin_lookup(actor=system_actor(crew.shop_id), site_id=given) is None
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
    crew: Crew, geocoder: FakeService, answer: tuple[int, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(geocoding, "LIMITS", shortened(geocoding.LIMITS, answer[1]))
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
def test_an_answer_that_cannot_be_believed_changes_nothing(crew: Crew, geocoder: FakeService, answer: object) -> None:
    site = a_site(crew)
    geocoder.answers = [(200, answer)]
    locate_site(str(crew.shop_id), *pending(crew))
    assert position(crew, site) == BY_CODE
    assert pending(crew) == []


def test_a_correction_made_meanwhile_stays(crew: Crew, geocoder: FakeService, monkeypatch: pytest.MonkeyPatch) -> None:
    site = a_site(crew)
    (outbox_id,) = pending(crew)

    def slow(_: geocoding.Lookup) -> object:
        base = {"lat": "40.588", "lon": "-98.391", "position_source": "postal_code", "position_within_m": 15_000}
        here = {"lat": "40.7", "lon": "-98.4", "position_source": "here", "position_within_m": 6}
        do(crew.owner, edit_site, id=site, base=base, set=here)
        return [BARN]

    monkeypatch.setattr(geocoding, "look_up", slow)
    locate_site(str(crew.shop_id), outbox_id)
    assert position(crew, site) == ("40.700000", "here", 6)


def test_no_transaction_is_open_while_the_geocoder_is_asked(
    crew: Crew, geocoder: FakeService, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = a_site(crew)
    (outbox_id,) = pending(crew)
    opened: list[int] = []

    # The tests have a transaction of their own around everything: what the task opens are savepoints in it.
    def counted(_: geocoding.Lookup) -> object:
        opened.append(len(connection.savepoint_ids))
        return [BARN]

    monkeypatch.setattr(geocoding, "look_up", counted)
    outside = len(connection.savepoint_ids)
    locate_site(str(crew.shop_id), outbox_id)
    assert opened == [outside]
    assert position(crew, site)[1] == "address"
    # Woken twice, it asks once.
    locate_site(str(crew.shop_id), outbox_id)
    assert len(opened) == 1


def test_another_address_written_meanwhile_is_looked_up_instead(
    crew: Crew, geocoder: FakeService, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = a_site(crew)
    (outbox_id,) = pending(crew)

    def slow(_: geocoding.Lookup) -> object:
        with in_shop(crew.shop_id):
            Site.objects.filter(id=site).update(address="Behind the mill")
        return [BARN]

    monkeypatch.setattr(geocoding, "look_up", slow)
    with pytest.raises(geocoding.AddressChanged):
        locate_site(str(crew.shop_id), outbox_id)
    assert pending(crew) == [outbox_id]
    assert position(crew, site)[1] == "postal_code"
