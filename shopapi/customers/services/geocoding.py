"""Positions of sites from a geocoder, where one is set up (`DRAWBAR_GEOCODER_URL`)."""

import json
from time import monotonic
from uuid import UUID

import requests
from django.conf import settings
from urllib3.exceptions import HTTPError

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.feed import lock_shop
from shopapi.core.rows import row_for
from shopapi.customers.models import Site
from shopapi.customers.queries import postal_codes
from shopapi.customers.rules.customer import DERIVED
from shopapi.customers.rules.geocoding import read_answer
from shopapi.customers.rules.postal_codes import postal_area

TIMEOUT = (2, 8)
# For the whole answer: one that drips in would keep within the limit above for ever.
WITHIN_SECONDS = 15
# One place is a few kilobytes.
MOST_BYTES = 100_000
PIECE_BYTES = 16_384


class GeocoderSilent(Exception):
    """It did not answer, or not what it was asked: the task runs again later."""


class AddressChanged(Exception):
    """The address changed while it was looked up: the task runs again with the new one."""


def request_position(site: Site) -> None:
    """Have the address of a site looked up after the commit, if there is a geocoder and nobody has said where it is."""
    if settings.GEOCODER_URL and _may_be_found(site):
        after_commit("customers.locate_site", shop_id=site.shop_id, site_id=site.id)


def locate_site(*, actor: Actor, site_id: UUID) -> None:
    """Look up the address of a site and keep its position.

    The caller holds the transaction, not the write lock: the service may take its time. Raises GeocoderSilent and
    AddressChanged, after which the task runs again; an answer that cannot be believed changes nothing.
    """
    site = Site.objects.filter(shop=actor.shop_id, id=site_id).first()
    if site is None or not settings.GEOCODER_URL or not _may_be_found(site):
        return
    answer = _ask(settings.GEOCODER_URL, site.address)
    found = read_answer(answer, postal_area(postal_codes(), site.address))
    lock_shop(actor.shop_id)
    present = row_for(Site, actor, site_id)
    if present.address != site.address:
        raise AddressChanged
    if found is None or not _may_be_found(present):
        return
    present.lat, present.lon, present.position_within_m = found.lat, found.lon, found.within_m
    present.position_source = "address"
    present.save(update_fields=["lat", "lon", "position_within_m", "position_source"])
    record(actor, "site located", ("site", site_id), within_m=found.within_m)


def _may_be_found(site: Site) -> bool:
    return bool(site.address.strip()) and (site.lat is None or site.position_source in DERIVED)


def _ask(base: str, address: str) -> object:
    """The service's answer as JSON. Follows no redirect: the address of a customer goes to nobody else."""
    query = {"q": " ".join(address.split()), "format": "jsonv2", "limit": "1"}
    try:
        with requests.get(
            f"{base}/search",
            params=query,
            timeout=TIMEOUT,
            allow_redirects=False,
            stream=True,
            headers={"User-Agent": "Drawbar"},
        ) as answer:
            if answer.status_code != 200:
                raise GeocoderSilent(f"it answered {answer.status_code}")
            body, until = bytearray(), monotonic() + WITHIN_SECONDS
            while piece := answer.raw.read1(PIECE_BYTES, decode_content=True):
                body += piece
                if len(body) > MOST_BYTES:
                    raise GeocoderSilent("its answer is too long")
                if monotonic() > until:
                    raise GeocoderSilent("its answer takes too long")
        found: object = json.loads(body)
    except (requests.RequestException, HTTPError, ValueError) as failed:
        raise GeocoderSilent(type(failed).__name__) from failed
    return found
