"""Reads of customers."""

import lzma
from functools import cache
from pathlib import Path

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.customers.models import Customer

POSTAL_CODES = Path(__file__).parents[2] / "fixtures" / "postal_codes" / "us.csv.xz"


@cache
def postal_codes() -> str:
    """The table of postal codes, read once; see `fixtures/postal_codes`."""
    return lzma.decompress(POSTAL_CODES.read_bytes()).decode()


def customers(actor: Actor) -> QuerySet[Customer]:
    return Customer.objects.filter(shop=actor.shop_id)
