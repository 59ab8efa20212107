"""Reads of customers and sites."""

from uuid import UUID

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.core.errors import NotFound
from shopapi.customers.models import Customer, Site
from shopapi.customers.rules.customer import CustomerRow, SiteRow


def customers(actor: Actor) -> QuerySet[Customer]:
    return Customer.objects.filter(shop=actor.shop_id)


def sites(actor: Actor) -> QuerySet[Site]:
    return Site.objects.filter(shop=actor.shop_id)


def customer_for(actor: Actor, customer_id: UUID, *, field: str = "customer_id") -> Customer:
    """A customer of the shop, locked against removal meanwhile. Raises NotFound."""
    found = customers(actor).select_for_update().filter(id=customer_id).first()
    if found is None:
        raise NotFound("customer", customer_id, field=field)
    return found


def site_for(actor: Actor, site_id: UUID, *, field: str = "site_id") -> Site:
    """A site of the shop. Raises NotFound."""
    found = sites(actor).select_for_update().filter(id=site_id).first()
    if found is None:
        raise NotFound("site", site_id, field=field)
    return found


def show_customer(actor: Actor, customer: Customer) -> CustomerRow:
    return CustomerRow.of(customer)


def show_site(actor: Actor, site: Site) -> SiteRow:
    return SiteRow.of(site)
