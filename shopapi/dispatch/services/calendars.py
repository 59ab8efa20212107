"""Calendar feeds: each has a secret address, of which only a hash is stored."""

import hashlib
import hmac
from uuid import UUID

from django.conf import settings

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.rows import refuse_known_id, row_among
from shopapi.core.schema import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import CalendarFeed
from shopapi.dispatch.rules.schemas.calendar_feed import NewCalendar


@command(needs=Permission.DRIVE_RUNS, creates_row=True)
def open_calendar(*, actor: Actor, data: NewCalendar) -> CalendarFeed:
    """Open a calendar feed of the actor's own runs."""
    refuse_known_id(CalendarFeed, data.id)
    if actor.member_id is None:
        raise Invalid("invalid", fields=[FieldError("id", "member_needed")])
    feed = CalendarFeed.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        device_id=actor.device_id,
        digest=digest_of(secret_of(data.id)),
    )
    record(actor, "calendar opened", ("calendar_feed", feed.id))
    return feed


@command(needs=Permission.DRIVE_RUNS, rest_name="revoke")
def revoke_calendar(*, actor: Actor, data: Target) -> CalendarFeed:
    """Close a calendar feed; its address no longer works."""
    feed = row_among(queries.calendars(actor), data.id)
    if feed.revoked_at is None:
        feed.revoked_at = now()
        feed.save(update_fields=["revoked_at"])
        record(actor, "calendar revoked", ("calendar_feed", feed.id))
    return feed


def address_of(actor: Actor, feed: CalendarFeed) -> str:
    """The address of the actor's own feed. Raises Conflict when it is closed."""
    secret = secret_of(feed.id)
    if feed.member_id != actor.member_id or queries.is_shut(feed) or feed.digest != digest_of(secret):
        raise Conflict("calendar_shut", fields=[FieldError("id", "calendar_shut")])
    return f"{settings.ORIGIN}/calendar/{actor.shop_id}/{secret}.ics"


def secret_of(feed_id: UUID) -> str:
    """The secret of a feed, derived from the server's key so that it is never stored or logged."""
    return hmac.new(settings.SECRET_KEY.encode(), b"calendar " + feed_id.bytes, hashlib.sha256).hexdigest()


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def feed_by(shop_id: UUID, secret: str) -> CalendarFeed | None:
    """The open feed of a secret; None if it is closed, or its member has left or signed a phone off since.

    The caller has set the shop for row-level security.
    """
    feed = CalendarFeed.objects.filter(shop=shop_id, digest=digest_of(secret), member__active=True).first()
    return None if feed is None or queries.is_shut(feed) else feed
