"""Sessions of a person: begun, listed, ended, and noted with their last contact."""

from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session

from shopapi.accounts import queries
from shopapi.accounts.models import BrowserSession, Device, User
from shopapi.accounts.rules import network_block
from shopapi.accounts.rules.sessions import CONTACT_EVERY, SessionRow, browser_label, has_ended
from shopapi.accounts.services.devices import sign_in_of
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop

SEEN_AT = "seen_at"
"""Session key of the last contact, in ISO 8601."""


def is_over(session: SessionBase) -> bool:
    """Whether a session has ended by itself, by its times; see `rules.sessions.has_ended`."""
    return has_ended(
        begun_at=_instant(session, queries.SIGNED_IN_AT),
        seen_at=_instant(session, SEEN_AT),
        at=now(),
        idle=settings.SESSION_IDLE,
        longest=settings.SESSION_LONGEST,
    )


def note_contact(*, user_id: UUID, session: SessionBase, agent: str, network: str) -> None:
    """Write down the contact of a session, at its first and then every half an hour.

    A session of before this list comes into it with its next contact.
    """
    seen, at = _instant(session, SEEN_AT), now()
    if seen is not None and at - seen < CONTACT_EVERY:
        return
    session[SEEN_AT] = at.isoformat()
    place = network_block(network)
    if BrowserSession.objects.filter(session_key=session.session_key).update(seen_at=at, network=place):
        return
    # Those that have ended by themselves.
    BrowserSession.objects.filter(user_id=user_id, seen_at__lt=at - settings.SESSION_IDLE).delete()
    # Two requests of one session may come here at the same time.
    BrowserSession.objects.get_or_create(
        session_key=session.session_key,
        defaults={
            "user_id": user_id,
            "sign_in": sign_in_of(session),
            "label": browser_label(agent),
            "network": place,
            "begun_at": _instant(session, queries.SIGNED_IN_AT) or at,
            "seen_at": at,
        },
    )


def follow_key(former: str | None, session: SessionBase) -> None:
    """The same session has another key from now on."""
    BrowserSession.objects.filter(session_key=former).update(session_key=session.session_key)


def forget(session: SessionBase) -> None:
    """A session is about to end."""
    BrowserSession.objects.filter(session_key=session.session_key).delete()


def sessions_of(*, actor: Actor, user: User, session: SessionBase) -> list[SessionRow]:
    """The sessions of a user that have not ended, the latest contact first."""
    kept = BrowserSession.objects.filter(user=user, seen_at__gt=now() - settings.SESSION_IDLE).order_by("-seen_at")
    alive = set(
        Session.objects.filter(session_key__in=[one.session_key for one in kept], expire_date__gt=now()).values_list(
            "session_key", flat=True
        )
    )
    with in_shop(actor.shop_id):
        devices = Device.objects.filter(shop=actor.shop_id, member=actor.member_id, revoked_at=None).order_by("letter")
        used = [(device.letter, set(device.sign_ins)) for device in devices]
    return [
        SessionRow(
            id=one.id,
            current=one.session_key == session.session_key,
            label=one.label,
            network=one.network,
            devices=[letter for letter, sign_ins in used if one.sign_in in sign_ins],
            begun_at=one.begun_at,
            seen_at=one.seen_at,
        )
        for one in kept
        if one.session_key in alive
    ]


def end_session(*, actor: Actor, user: User, session_id: UUID, session: SessionBase) -> None:
    """End one other session of a user: its browser has to sign in again, and keeps what is unsent.

    Raises NotFound; Conflict `this_session` for the one that asks.
    """
    found = BrowserSession.objects.filter(user=user, id=session_id).first()
    if found is None:
        raise NotFound("session", session_id)
    if found.session_key == session.session_key:
        raise Conflict("this_session")
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        Session.objects.filter(session_key=found.session_key).delete()
        found.delete()
        _record(actor, "session ended", label=found.label)


def end_other_sessions(*, actor: Actor, user: User, session: SessionBase) -> None:
    """End every other session of a user, also one that is in no list yet."""
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        others = BrowserSession.objects.filter(user=user).exclude(session_key=session.session_key)
        Session.objects.filter(session_key__in=others.values("session_key")).delete()
        others.delete()
        user.refresh_from_db(fields=["session_epoch"])
        user.session_epoch += 1
        user.save(update_fields=["session_epoch"])
        _record(actor, "other sessions ended")


def _record(actor: Actor, event: str, **details: str) -> None:
    if actor.member_id is not None:
        record(actor, event, ("member", actor.member_id), **details)


def _instant(session: SessionBase, key: str) -> datetime | None:
    kept = session.get(key)
    return None if kept is None else datetime.fromisoformat(kept)
