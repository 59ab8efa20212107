"""Reads of customers."""

import lzma
from functools import cache
from pathlib import Path

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.customers.models import Customer, CustomerImport
from shopapi.customers.rules.address_plan import KnownCustomer
from shopapi.customers.rules.import_schemas import CustomerImportRow, ImportFault, ImportState

POSTAL_CODES = Path(__file__).parents[2] / "fixtures" / "postal_codes" / "us.csv.xz"


@cache
def postal_codes() -> str:
    """The table of postal codes, read once; see `fixtures/postal_codes`."""
    return lzma.decompress(POSTAL_CODES.read_bytes()).decode()


def customers(actor: Actor) -> QuerySet[Customer]:
    return Customer.objects.filter(shop=actor.shop_id)


def known_customer(one: Customer) -> KnownCustomer:
    """A customer as an import compares it."""
    return KnownCustomer(
        key=str(one.id),
        name=one.name,
        person=one.person,
        phone=one.phone,
        second_phone=one.second_phone,
        email=one.email,
        address=one.address,
        notes=one.notes,
    )


def imports(actor: Actor) -> QuerySet[CustomerImport]:
    """The imports of the shop, without the files themselves."""
    return CustomerImport.objects.filter(shop=actor.shop_id).defer("content", "cards")


def show_import(_: Actor, found: CustomerImport) -> CustomerImportRow:
    return CustomerImportRow(
        id=found.id,
        created_at=found.created_at,
        changed_at=found.changed_at,
        file_name=found.file_name,
        state=ImportState(found.state),
        total=found.total,
        done=found.done,
        added=len(found.customers),
        left_out=found.left_out,
        refused=[ImportFault.model_validate(fault) for fault in found.refused],
    )
