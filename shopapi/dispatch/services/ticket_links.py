"""Secret addresses of tickets (`documents.services.secret_links`)."""

from datetime import timedelta
from uuid import UUID

from django.conf import settings

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import NotFound
from shopapi.dispatch import queries
from shopapi.dispatch.models import Printout
from shopapi.documents.services import secret_links

PURPOSE = b"shopapi.dispatch.ticket-link"
LIFETIME = timedelta(days=365)
"""How long a ticket can be opened by its link."""


def address_to_send(actor: Actor, printout_id: UUID) -> str:
    """The address of a ticket for a message that is sent now. Raises NotFound for one that was removed."""
    if not queries.printouts(actor).filter(id=printout_id, kind="ticket").exists():
        raise NotFound("printouts", printout_id)
    return f"{settings.ORIGIN}/ticket/{token_of(actor.shop_id, printout_id)}"


def token_of(shop_id: UUID, printout_id: UUID) -> str:
    """The secret part of an address: 64 characters of base64url."""
    return secret_links.token_of(PURPOSE, shop_id, printout_id)


def read_token(token: str) -> tuple[UUID, UUID] | None:
    """The shop and the printout of a secret, or None for one that was not made here."""
    return secret_links.read_token(PURPOSE, token)


def ticket_by(shop_id: UUID, printout_id: UUID) -> Printout | None:
    """The ticket of a link, unless it is too old. The caller has set the shop for row-level security."""
    found = Printout.objects.filter(shop=shop_id, id=printout_id, kind="ticket", created_at__gt=now() - LIFETIME)
    return found.select_related("document", "shop", "job__customer").first()
