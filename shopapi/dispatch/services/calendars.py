"""Calendar feeds: a secret address for each, of which only a hash is kept."""

import hashlib
import hmac
from uuid import UUID

from django.conf import settings

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import CalendarFeed
from shopapi.dispatch.rules.records import NewCalendar


@command(needs=Permission.DRIVE_RUNS)
def open_calendar(*, actor: Actor, data: NewCalendar) -> CalendarFeed:
    """Open a calendar feed of one's own runs."""
    refuse_known_id(CalendarFeed, data.id)
    if actor.member_id is None:
        words = "A calendar belongs to a member; sign in as one."
        raise Invalid("invalid", words, fields=[FieldError("id", "member_needed", words)])
    feed = CalendarFeed.objects.create(
        id=data.id, shop_id=actor.shop_id, member_id=actor.member_id, digest=digest_of(secret_of(data.id))
    )
    record(actor, "calendar opened", ("calendar_feed", feed.id))
    return feed


@command(needs=Permission.DRIVE_RUNS)
def revoke_calendar(*, actor: Actor, data: Target) -> CalendarFeed:
    """Close a calendar feed: its address answers no more."""
    feed = queries.calendar_for(actor, data.id)
    if feed.revoked_at is None:
        feed.revoked_at = now()
        feed.save(update_fields=["revoked_at"])
        record(actor, "calendar revoked", ("calendar_feed", feed.id))
    return feed


def address_of(actor: Actor, feed: CalendarFeed) -> str:
    """The address of one's own feed, for as long as it is open. Raises Conflict."""
    secret = secret_of(feed.id)
    if feed.member_id != actor.member_id or feed.revoked_at is not None or feed.digest != digest_of(secret):
        words = "This address can no longer be shown; open a new calendar."
        raise Conflict("calendar_shut", words, fields=[FieldError("id", "calendar_shut", words)])
    return f"{settings.ORIGIN}/calendar/{actor.shop_id}/{secret}.ics"


def secret_of(feed_id: UUID) -> str:
    """Drawn from the server's key, so that no row, log or receipt ever holds it."""
    return hmac.new(settings.SECRET_KEY.encode(), b"calendar " + feed_id.bytes, hashlib.sha256).hexdigest()


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def feed_by(shop_id: UUID, secret: str) -> CalendarFeed | None:
    """The open feed of a secret whose member still belongs to the shop. The caller sees the shop."""
    feed = CalendarFeed.objects.filter(shop=shop_id, digest=digest_of(secret), revoked_at=None).first()
    if feed is None or not Member.objects.filter(shop=shop_id, id=feed.member_id, active=True).exists():
        return None
    return feed
