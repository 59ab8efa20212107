"""Reads of shops and members, and the look-ups that run before the shop is known."""

import hashlib
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from shopapi.accounts.models import Device, Invitation, Member, Shop, User
from shopapi.accounts.rules import (
    MemberRow,
    Permission,
    Role,
    permissions_of,
    sign_in_name,
)
from shopapi.core.actor import Actor
from shopapi.core.clock import now

# Answers which shop a key belongs to. Runs as the owner of the tables, so it gives as little as it can. Whom a session
# stands for is answered by `session_of`, which took the place of `memberships_of`.
FUNCTIONS = """
CREATE FUNCTION memberships_of(of_user uuid)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost
    FROM accounts_member m WHERE m.user_id = of_user AND m.active ORDER BY m.created_at, m.id;
$$;

CREATE FUNCTION membership_by_token(of_digest text)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost
    FROM accounts_apitoken t JOIN accounts_member m ON m.shop_id = t.shop_id AND m.id = t.member_id
    WHERE t.digest = of_digest AND t.revoked_at IS NULL AND m.active;
$$;

CREATE FUNCTION every_shop() RETURNS TABLE (id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT s.id FROM accounts_shop s ORDER BY s.id;
$$;
"""

# Was asked for somebody who has left; `session_of` answers that now.
LEFT_FUNCTION = """
CREATE FUNCTION membership_left_by(of_user uuid) RETURNS TABLE (shop_id uuid, member_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id FROM accounts_member m
    WHERE m.user_id = of_user AND NOT m.active ORDER BY m.ended_at DESC, m.id LIMIT 1;
$$;
"""

SIGN_IN = "sign_in"
"""Session key of the session's own constant id, stored with devices: Django's key changes with the password."""

SIGNED_IN_AT = "signed_in_at"
"""When a session began, in ISO 8601."""

# Took no account of sessions that were used on no device; `session_of` does.
SESSION_FUNCTION = """
CREATE FUNCTION session_stands_for(of_user uuid, of_sign_in text)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean, device_id uuid, signed_off boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost, used.newest, NOT m.active OR coalesce(used.signed_off, false)
    FROM accounts_member m CROSS JOIN LATERAL (
        SELECT (array_agg(d.id ORDER BY d.created_at DESC, d.id DESC))[1] AS newest,
            bool_or(d.revoked_at IS NOT NULL) AS signed_off
        FROM accounts_device d
        WHERE d.shop_id = m.shop_id AND d.member_id = m.id AND of_sign_in = ANY (d.sign_ins)
    ) used
    WHERE m.user_id = of_user ORDER BY m.active DESC, m.ended_at DESC, m.created_at DESC, m.id LIMIT 1;
$$;
"""

# Answers for whom a session acts and on which device: the active membership joined last, else the one that ended last.
# `signed_off` when the membership has ended, or any device that this session was used on was signed off. One that was
# used on no device may run on any: it is signed off with the first device of the member that is, once it has begun.
SESSION_OF_FUNCTION = """
CREATE FUNCTION session_of(of_user uuid, of_sign_in text, begun_at timestamptz)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean, device_id uuid, signed_off boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost, used.newest,
        NOT m.active OR coalesce(used.signed_off, begun_at <= used.last_sign_off, false)
    FROM accounts_member m CROSS JOIN LATERAL (
        SELECT (array_agg(d.id ORDER BY d.created_at DESC, d.id DESC) FILTER (WHERE of_sign_in = ANY (d.sign_ins)))[1]
                AS newest,
            bool_or(d.revoked_at IS NOT NULL) FILTER (WHERE of_sign_in = ANY (d.sign_ins)) AS signed_off,
            max(d.revoked_at) AS last_sign_off
        FROM accounts_device d WHERE d.shop_id = m.shop_id AND d.member_id = m.id
    ) used
    WHERE m.user_id = of_user ORDER BY m.active DESC, m.ended_at DESC, m.created_at DESC, m.id LIMIT 1;
$$;
"""


# Answers which shop an invitation belongs to, before the shop is known: two ids, no more.
INVITATION_FUNCTION = """
CREATE FUNCTION shop_of_invitation(of_hash text) RETURNS TABLE (shop_id uuid, invitation_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT i.shop_id, i.id FROM accounts_invitation i WHERE i.token_hash = of_hash;
$$;
"""


def shop_of_invitation(secret: str) -> tuple[UUID, UUID] | None:
    """The shop and the id of the invitation with this secret, or None."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM shop_of_invitation(%s)", [hashlib.sha256(secret.encode()).hexdigest()])
        found: tuple[UUID, UUID] | None = cursor.fetchone()
    return found


def actor_for_user(user_id: UUID) -> Actor | None:
    """The actor of a user by session or key; None without an active membership."""
    actor = actor_for_session(user_id, begun_at=now())
    return actor if actor is not None and actor.may(Permission.READ) else None


def actor_for_session(user_id: UUID, sign_in: str = "", *, begun_at: datetime | None = None) -> Actor | None:
    """The actor of a session; `sign_in` is its digest, as devices store it.

    After the end of the membership, or once a device of this session was signed off, it may only upload the phone's
    pending commands. The same holds for a session of no known device, once any device of the member was signed off
    after `begun_at`; without that time it counts as older than every sign-off.
    """
    with connection.cursor() as cursor:
        begun = "-infinity" if begun_at is None else begun_at.isoformat()
        cursor.execute("SELECT * FROM session_of(%s, %s, %s)", [user_id, sign_in, begun])
        found = cursor.fetchone()
    if found is None:
        return None
    shop_id, member_id, role, may_see_cost, device_id, signed_off = found
    if signed_off:
        permissions = frozenset({Permission.UPLOAD_PENDING})
        return Actor(shop_id=shop_id, member_id=member_id, permissions=permissions, device_id=device_id)
    return replace(actor_of(shop_id, member_id, Role(role), may_see_cost=may_see_cost), device_id=device_id)


def actor_for_token(token: str) -> Actor | None:
    """The actor of an API key."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM membership_by_token(%s)", [hashlib.sha256(token.encode()).hexdigest()])
        found = cursor.fetchone()
    if found is None:
        return None
    shop_id, member_id, role, may_see_cost = found
    return actor_of(shop_id, member_id, Role(role), may_see_cost=may_see_cost)


def user_by_email(email: str) -> User | None:
    """The user with this address in any spelling (case, width); see `rules.sign_in_name`."""
    return User.objects.filter(sign_in=sign_in_name(email)).first()


def actor_of(shop_id: UUID, member_id: UUID, role: Role, *, may_see_cost: bool) -> Actor:
    """An actor with the permissions of a role. `view` is a digest of what they may see."""
    permissions = permissions_of(role, may_see_cost=may_see_cost)
    view = hashlib.sha256(" ".join(sorted(permissions)).encode()).hexdigest()[:8]
    return Actor(shop_id=shop_id, member_id=member_id, permissions=permissions, view=view)


def system_actor(shop_id: UUID) -> Actor:
    """The actor of background work: every permission, no member."""
    return Actor(shop_id=shop_id, member_id=None, permissions=frozenset(Permission))


def every_shop() -> list[UUID]:
    """The ids of all shops, for periodic work."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM every_shop()")
        return [row[0] for row in cursor.fetchall()]


def shops(actor: Actor) -> QuerySet[Shop]:
    return Shop.objects.filter(id=actor.shop_id)


def shop_of(actor: Actor) -> Shop:
    return shops(actor).get()


def members(actor: Actor) -> QuerySet[Member]:
    return Member.objects.filter(shop=actor.shop_id)


def invitations(actor: Actor) -> QuerySet[Invitation]:
    return Invitation.objects.filter(shop=actor.shop_id)


def active_owners(actor: Actor) -> int:
    return members(actor).filter(role=Role.OWNER, active=True).count()


def was_signed_off_by_leaving(device: Device) -> bool:
    """Whether a device ended with its member's membership, and not before as lost."""
    return device.revoked_at is not None and device.member.ended_at == device.revoked_at


def devices(actor: Actor) -> QuerySet[Device]:
    return Device.objects.filter(shop=actor.shop_id)


def show_member(actor: Actor, member: Member) -> MemberRow:
    return MemberRow.of(member)
