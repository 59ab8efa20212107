"""Reads of requests to customers, and finding the shop of a link's secret."""

import hashlib
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.files.models import Attachment
from shopapi.files.queries import pictures_about
from shopapi.files.rules import AttachmentState
from shopapi.quotes.models import ApprovalLink, Line, Quote
from shopapi.quotes.queries import state_of
from shopapi.quotes.rules.approval_requests import LinkFacts

# A SQL function that finds the shop of a link before the shop is known. It runs as the owner of the tables and returns
# only two ids.
FUNCTION = """
CREATE FUNCTION shop_of_link(of_hash text) RETURNS TABLE (shop_id uuid, link_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT l.shop_id, l.id FROM quotes_approvallink l WHERE l.token_hash = of_hash;
$$;
"""


def hash_of(token: str) -> str:
    """The hash that is stored of a link's secret."""
    return hashlib.sha256(token.encode()).hexdigest()


def shop_of_link(token: str) -> tuple[UUID, UUID] | None:
    """The shop and the id of the link with this secret, or None."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT shop_id, link_id FROM shop_of_link(%s)", [hash_of(token)])
        found: tuple[UUID, UUID] | None = cursor.fetchone()
    return found


def links(actor: Actor) -> QuerySet[ApprovalLink]:
    return ApprovalLink.objects.filter(shop=actor.shop_id)


def link_facts(link: ApprovalLink, quote: Quote) -> LinkFacts:
    return LinkFacts(
        used=link.used_at is not None,
        revoked=link.revoked_at is not None,
        expires_at=link.expires_at,
        quote_state=state_of(quote),
    )


def successor_of(link: ApprovalLink, quote: Quote) -> ApprovalLink | None:
    """The customer's request about the newest revision of the same quote, if there is one."""
    later = ApprovalLink.objects.filter(
        shop=link.shop_id,
        quote__number=quote.number,
        revision__gt=link.revision,
        channel=link.channel,
        address=link.address,
        revoked_at=None,
    )
    return (
        later.exclude(quote__state__in=["draft", "replaced", "withdrawn", "lapsed"])
        .order_by("-revision", "-id")
        .first()
    )


def findings_of(quote: Quote) -> dict[UUID, Line]:
    """By id: the lines of a quote that repair a finding, with the finding."""
    repairing = Line.objects.filter(shop=quote.shop_id, quote=quote).exclude(finding=None).select_related("finding")
    return {line.id: line for line in repairing}


def pictures_of(actor: Actor, quote: Quote) -> QuerySet[Attachment]:
    """The pictures of the findings that a quote is about, without those that cannot be shown."""
    ids = {line.finding_id for line in findings_of(quote).values() if line.finding_id is not None}
    return pictures_about(actor, "finding", ids).filter(state=AttachmentState.READY)
