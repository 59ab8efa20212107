"""Secret addresses of tickets: the shop, the printout and a signature, so that no table holds a secret.

The signature is an HMAC-SHA256 under a key derived from the installation's key, cut to 128 bits.
"""

import base64
import binascii
import hashlib
import hmac
from datetime import timedelta
from uuid import UUID

from django.conf import settings

from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import NotFound
from shopapi.dispatch import queries
from shopapi.dispatch.models import Printout

PURPOSE = b"shopapi.dispatch.ticket-link"
ID_BYTES, SIGNATURE_BYTES = 16, 16
LIFETIME = timedelta(days=365)
"""How long a ticket can be opened by its link."""


def address_to_send(actor: Actor, printout_id: UUID) -> str:
    """The address of a ticket for a message that is sent now. Raises NotFound for one that was removed."""
    if not queries.printouts(actor).filter(id=printout_id, kind="ticket").exists():
        raise NotFound("printouts", printout_id)
    return f"{settings.ORIGIN}/ticket/{token_of(actor.shop_id, printout_id)}"


def token_of(shop_id: UUID, printout_id: UUID) -> str:
    """The secret part of an address: 64 characters of base64url."""
    named = shop_id.bytes + printout_id.bytes
    return base64.urlsafe_b64encode(named + _sign(named, settings.SECRET_KEY)).decode()


def read_token(token: str) -> tuple[UUID, UUID] | None:
    """The shop and the printout of a secret, or None for one that was not made here."""
    try:
        raw = base64.b64decode(token, altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        return None
    named, signature = raw[: 2 * ID_BYTES], raw[2 * ID_BYTES :]
    if len(named) != 2 * ID_BYTES or len(signature) != SIGNATURE_BYTES:
        return None
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    if not any(hmac.compare_digest(signature, _sign(named, key)) for key in keys):
        return None
    return UUID(bytes=named[:ID_BYTES]), UUID(bytes=named[ID_BYTES:])


def ticket_by(shop_id: UUID, printout_id: UUID) -> Printout | None:
    """The ticket of a link, unless it is too old. The caller has set the shop for row-level security."""
    found = Printout.objects.filter(shop=shop_id, id=printout_id, kind="ticket", created_at__gt=now() - LIFETIME)
    return found.select_related("document", "shop", "job__customer").first()


def _sign(named: bytes, key: str) -> bytes:
    own = hmac.new(key.encode(), PURPOSE, hashlib.sha256).digest()
    return hmac.new(own, named, hashlib.sha256).digest()[:SIGNATURE_BYTES]
