"""Reads of price lists."""

from uuid import UUID

from django.db.models import Q, QuerySet
from pydantic import Field

from shopapi.core.actor import Actor
from shopapi.core.parameters import Filters
from shopapi.parts.models import SupplierPriceList
from shopapi.parts.rules.price_list_schemas import PriceListFault, PriceListState, SupplierPriceListRow
from shopapi.parts.rules.price_lists import number_key


class SupplierPriceFilters(Filters):
    """`q`: how a part's number begins, whatever marks it is written with, or words of its description."""

    supplier_id: UUID | None = None
    q: str = Field(
        "",
        max_length=120,
        description="The beginning of a number, or words of the description.",
        json_schema_extra={"lookup": "number_key__startswith"},
    )

    def narrow(self) -> Q:
        found = Q() if self.supplier_id is None else Q(supplier_id=self.supplier_id)
        words = self.q.split()
        if not words:
            return found
        described = Q()
        for word in words:
            described &= Q(description__icontains=word)
        key = number_key(self.q)
        return found & (described | Q(number_key__startswith=key) if key else described)


def price_lists(actor: Actor) -> QuerySet[SupplierPriceList]:
    """The price lists of the shop, without the files themselves."""
    return SupplierPriceList.objects.filter(shop=actor.shop_id).defer("content")


def show_price_list(_: Actor, found: SupplierPriceList) -> SupplierPriceListRow:
    return SupplierPriceListRow(
        id=found.id,
        created_at=found.created_at,
        changed_at=found.changed_at,
        supplier_id=found.supplier_id,
        file_name=found.file_name,
        state=PriceListState(found.state),
        new=found.new,
        changed=found.changed,
        same=found.same,
        gone=found.gone,
        catalog_changed=found.catalog_changed,
        refused=[PriceListFault.model_validate(fault) for fault in found.refused],
    )
