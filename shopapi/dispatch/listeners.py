"""What dispatch does when an app below it changes something."""

from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.dispatch.services.stops import note_site_moved


def site_moved(*, actor: Actor, site_id: UUID) -> None:
    note_site_moved(actor=actor, site_id=site_id)
