"""Suppliers: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import refuse_faults
from shopapi.core.events import publish
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit
from shopapi.parts.models import Supplier
from shopapi.parts.rules.suppliers import NewSupplier, SupplierFields, faults_of_supplier


@command(needs=Permission.ORDER_PARTS, creates_row=True)
def add_supplier(*, actor: Actor, data: NewSupplier) -> Supplier:
    """Add a supplier."""
    refuse_known_id(Supplier, data.id)
    refuse_faults(faults_of_supplier(data), message="fields_invalid")
    supplier = Supplier.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "supplier added", ("supplier", supplier.id), name=supplier.name)
    return supplier


@command(needs=Permission.ORDER_PARTS)
def edit_supplier(*, actor: Actor, data: Edit[SupplierFields]) -> Supplier:
    """Edit a supplier."""
    supplier = row_for(Supplier, actor, data.id)
    refuse_faults(faults_of_supplier(edited(supplier, data)), message="fields_invalid")
    was = (supplier.lat, supplier.lon)
    supplier = edit_row(actor=actor, kind="supplier", row=supplier, edit=data, together=("lat", "lon"))
    if (supplier.lat, supplier.lon) != was:
        publish("supplier_moved", actor=actor, supplier_id=supplier.id)
    return supplier
