"""Parts in the catalog: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit
from shopapi.parts.models import CatalogPart, Supplier
from shopapi.parts.rules.catalog import CatalogPartFields, NewCatalogPart, number_faults


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_catalog_part(*, actor: Actor, data: NewCatalogPart) -> CatalogPart:
    """Add a part to the catalog."""
    refuse_known_id(CatalogPart, data.id)
    _check(actor, data)
    part = CatalogPart.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "catalog part added", ("catalog_part", part.id), number=part.number, description=part.description)
    return part


@command(needs=Permission.WORK_JOBS)
def edit_catalog_part(*, actor: Actor, data: Edit[CatalogPartFields]) -> CatalogPart:
    """Edit a part of the catalog; jobs that used it keep what they have."""
    part = row_for(CatalogPart, actor, data.id)
    _check(actor, edited(part, data))
    return edit_row(actor=actor, kind="catalog_part", row=part, edit=data)


def _check(actor: Actor, data: CatalogPartFields) -> None:
    if data.supplier_id is not None:
        row_for(Supplier, actor, data.supplier_id, field="supplier_id")
    refuse_faults(number_faults(data.number, data.superseded_by))
