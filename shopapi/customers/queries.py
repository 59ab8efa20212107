"""Reads of customers."""

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.customers.models import Customer


def customers(actor: Actor) -> QuerySet[Customer]:
    return Customer.objects.filter(shop=actor.shop_id)
