"""Customers and sites: the only writer of this app."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.events import publish
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.customers.models import Customer, Site
from shopapi.customers.queries import postal_codes
from shopapi.customers.rules.customer import (
    DERIVED,
    CustomerFields,
    NewCustomer,
    NewSite,
    SiteFields,
    digits_of_both,
    name_of_site,
)
from shopapi.customers.rules.postal_codes import postal_area
from shopapi.customers.services.geocoding import request_position

POSITION = ("lat", "lon", "position_source", "position_within_m")


@command(needs=Permission.MANAGE_CUSTOMERS, creates_row=True)
def add_customer(*, actor: Actor, data: NewCustomer) -> Customer:
    """Add a customer."""
    refuse_known_id(Customer, data.id)
    digits = digits_of_both(data.phone, data.second_phone)
    customer = Customer.objects.create(shop_id=actor.shop_id, phone_digits=digits, **data.model_dump())
    record(actor, "customer added", ("customer", customer.id))
    return customer


@command(needs=Permission.MANAGE_CUSTOMERS)
def edit_customer(*, actor: Actor, data: Edit[CustomerFields]) -> Customer:
    """Edit a customer."""
    customer = row_for(Customer, actor, data.id)
    edit_row(actor=actor, kind="customer", row=customer, edit=data)
    digits = digits_of_both(customer.phone, customer.second_phone)
    if digits != customer.phone_digits:
        customer.phone_digits = digits
        customer.save(update_fields=["phone_digits"])
    return customer


@command(needs=Permission.MANAGE_CUSTOMERS, deletes_row=True)
def remove_customer(*, actor: Actor, data: Target) -> Customer:
    """Remove a customer without sites, machines or jobs."""
    customer = row_for(Customer, actor, data.id)
    remove_row(customer, "customer_in_use")
    record(actor, "customer removed", ("customer", data.id), name=customer.name)
    return customer


@command(needs=Permission.MANAGE_CUSTOMERS, creates_row=True)
def add_site(*, actor: Actor, data: NewSite) -> Site:
    """Add a site of a customer."""
    refuse_known_id(Site, data.id)
    row_for(Customer, actor, data.customer_id, field="customer_id")
    _check_position(data.lat, data.lon)
    label = name_of_site(data)
    if not label:
        raise Invalid("invalid", fields=[FieldError("address", "site_empty")])
    site = Site.objects.create(shop_id=actor.shop_id, **data.model_dump(exclude={"label"}), label=label)
    record(actor, "site added", ("site", site.id))
    return _located(site)


@command(needs=Permission.MANAGE_CUSTOMERS)
def edit_site(*, actor: Actor, data: Edit[SiteFields]) -> Site:
    """Edit a site."""
    site = row_for(Site, actor, data.id)
    if ("lat" in data.set) != ("lon" in data.set):
        _refuse_half_position()
    if "lat" in data.set:
        _check_position(data.set["lat"], data.set["lon"])
    was = (site.lat, site.lon, site.address)
    edit_row(actor=actor, kind="site", row=site, edit=data, together=POSITION)
    if "position_source" not in data.set and (site.lat, site.lon) != was[:2]:
        # From an app that knew no source: how sure the former position was says nothing of this one.
        site.position_source, site.position_within_m = "", None
        site.save(update_fields=["position_source", "position_within_m"])
    if (site.lat, site.lon, site.address) == was:
        return site
    site = _located(site)
    if (site.lat, site.lon) != was[:2]:
        publish("site_moved", actor=actor, site_id=site.id)
    return site


@command(needs=Permission.MANAGE_CUSTOMERS, deletes_row=True)
def remove_site(*, actor: Actor, data: Target) -> Site:
    """Remove a site that no job uses."""
    site = row_for(Site, actor, data.id)
    remove_row(site, "site_in_use")
    record(actor, "site removed", ("site", data.id), label=site.label)
    return site


def _located(site: Site) -> Site:
    """The site, by the postal code of its address where nobody has said more exactly where it is."""
    request_position(site)
    if site.lat is not None and site.position_source not in DERIVED:
        return site
    area = postal_area(postal_codes(), site.address)
    if area is not None:
        site.lat, site.lon, site.position_within_m = area.lat, area.lon, area.within_m
        site.position_source = "postal_code"
    elif site.lat is not None:
        # It was of a former address.
        site.lat = site.lon = site.position_within_m = None
        site.position_source = ""
    else:
        return site
    site.save(update_fields=POSITION)
    return site


def _check_position(lat: object, lon: object) -> None:
    if (lat is None) != (lon is None):
        _refuse_half_position()


def _refuse_half_position() -> None:
    raise Invalid("invalid", fields=[FieldError("lat", "half_position")])
