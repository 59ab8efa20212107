"""Positions of sites from a geocoder, where one is set up (`DRAWBAR_GEOCODER_URL`)."""

import json
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.bounded_get import Limits, NoUsableAnswer, get_bounded
from shopapi.core.events import publish
from shopapi.customers.models import Site
from shopapi.customers.queries import postal_codes
from shopapi.customers.rules.customer import DERIVED
from shopapi.customers.rules.geocoding import read_answer
from shopapi.customers.rules.postal_codes import postal_area

# One place is a few kilobytes.
LIMITS = Limits(timeout=(2, 8), within_seconds=15, most_bytes=100_000)
USER_AGENT = {"User-Agent": "Drawbar"}


class GeocoderSilent(Exception):
    """It did not answer, or not what it was asked: the task runs again later."""


class AddressChanged(Exception):
    """The address changed while it was looked up: the task runs again with the new one."""


@dataclass(frozen=True, slots=True)
class Lookup:
    """The address of a site that is to be looked up."""

    site_id: UUID
    address: str


def request_position(site: Site) -> None:
    """Have the address of a site looked up after the commit, if there is a geocoder and nobody has said where it is."""
    if settings.GEOCODER_URL and _may_be_found(site):
        after_commit("customers.locate_site", shop_id=site.shop_id, site_id=site.id)


def begin_lookup(*, actor: Actor, site_id: UUID) -> Lookup | None:
    """What is to be looked up; None where there is nothing to be found."""
    site = Site.objects.filter(shop=actor.shop_id, id=site_id).first()
    if site is None or not settings.GEOCODER_URL or not _may_be_found(site):
        return None
    return Lookup(site_id, site.address)


def look_up(lookup: Lookup) -> object:
    """The geocoder's answer as JSON, asked outside of any transaction: it may take its time. Raises GeocoderSilent."""
    query = {"q": " ".join(lookup.address.split()), "format": "jsonv2", "limit": "1"}
    try:
        answer: object = json.loads(
            get_bounded(f"{settings.GEOCODER_URL}/search", LIMITS, params=query, headers=USER_AGENT)
        )
    except (NoUsableAnswer, ValueError) as failed:
        raise GeocoderSilent(str(failed)) from failed
    return answer


def finish_lookup(*, actor: Actor, lookup: Lookup, answer: object) -> None:
    """Keep the position that was found; an answer that cannot be believed changes nothing.

    The caller holds the shop's write lock. Raises AddressChanged.
    """
    site = Site.objects.select_for_update().filter(shop=actor.shop_id, id=lookup.site_id).first()
    if site is None:
        return
    if site.address != lookup.address:
        raise AddressChanged
    found = read_answer(answer, postal_area(postal_codes(), site.address))
    if found is None or not _may_be_found(site):
        return
    site.lat, site.lon, site.position_within_m = found.lat, found.lon, found.within_m
    site.position_source = "address"
    site.save(update_fields=["lat", "lon", "position_within_m", "position_source"])
    record(actor, "site located", ("site", site.id), within_m=found.within_m)
    publish("site_moved", actor=actor, site_id=site.id)


def _may_be_found(site: Site) -> bool:
    return bool(site.address.strip()) and (site.lat is None or site.position_source in DERIVED)
