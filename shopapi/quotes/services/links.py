"""Secret addresses at which customers answer.

A secret is the HMAC-SHA256 of the link's id under a key derived from the installation's key. It is not stored in any
table, log or queue, but computed whenever it is sent or shown.
"""

import base64
import hashlib
import hmac
from datetime import date
from uuid import UUID

from django.conf import settings

from shopapi.accounts.models import Shop
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.rows import row_among
from shopapi.quotes.models import ApprovalLink, Quote
from shopapi.quotes.queries.approval_requests import hash_of, link_facts, links
from shopapi.quotes.rules.approval_requests import LinkChannel, end_of, link_status

PURPOSE = b"shopapi.quotes.approval-link"


def secret_of(link_id: UUID, key: str) -> str:
    """The secret of a link under one key of the installation: 43 characters of base64url."""
    own = hmac.new(key.encode(), PURPOSE, hashlib.sha256).digest()
    return base64.urlsafe_b64encode(hmac.new(own, link_id.bytes, hashlib.sha256).digest()).rstrip(b"=").decode()


def address_of(link: ApprovalLink) -> str:
    """The whole address of a link. Raises Conflict when its key is no longer in the settings."""
    for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        secret = secret_of(link.id, key)
        if hmac.compare_digest(hash_of(secret), link.token_hash):
            return f"{settings.ORIGIN}/ask/{secret}"
    raise Conflict("link_key_gone", message="request_key_gone")


def address_to_send(actor: Actor, link_id: UUID) -> str:
    """The address for a message that is sent now. Raises Conflict when the link can no longer be answered."""
    link = row_among(links(actor).select_related("quote"), link_id, lock=False)
    status = link_status(link_facts(link, link.quote), now())
    if status != "open":
        raise Conflict(status, message="link_asks_no_more")
    return address_of(link)


def make_link(
    actor: Actor, quote: Quote, *, link_id: UUID, channel: LinkChannel, address: str, name: str
) -> ApprovalLink:
    """Create a request about an offered quote, valid through its last day. The caller holds the transaction."""
    zone = Shop.objects.values_list("zone", flat=True).get(id=actor.shop_id)
    link = ApprovalLink.objects.create(
        id=link_id,
        shop_id=actor.shop_id,
        quote=quote,
        revision=quote.revision,
        digest=quote.offer_digest or "",
        channel=channel,
        address=address,
        name=name,
        token_hash=hash_of(secret_of(link_id, settings.SECRET_KEY)),
        expires_at=end_of(quote.valid_until or date.max, zone),
        created_by_id=actor.member_id,
    )
    record(actor, "approval asked", ("quote", quote.id), link=link.id, channel=channel)
    return link


def move_links(actor: Actor, before: Quote, after: Quote) -> None:
    """Create a request on the new revision for everybody asked about the replaced one; the old page links to it."""
    asked: dict[tuple[str, str], ApprovalLink] = {
        (link.channel, link.address): link
        for link in ApprovalLink.objects.filter(shop=actor.shop_id, quote=before, revoked_at=None).order_by("id")
    }
    for (channel, address), link in asked.items():
        make_link(actor, after, link_id=uuid7(), channel=channel, address=address, name=link.name)  # type: ignore[arg-type] # a column of the closed set of channels
