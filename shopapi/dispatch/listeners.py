"""What dispatch does when an app below it changes something."""

from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.dispatch.services.stops import note_site_moved, note_supplier_moved


def site_moved(*, actor: Actor, site_id: UUID) -> None:
    note_site_moved(actor=actor, site_id=site_id)


def supplier_moved(*, actor: Actor, supplier_id: UUID) -> None:
    note_supplier_moved(actor=actor, supplier_id=supplier_id)
