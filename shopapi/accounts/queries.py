"""Reads of shops and members, and the look-ups that run before the shop is known."""

import hashlib
from collections.abc import Collection
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from shopapi.accounts.models import ApiToken, Device, Invitation, Member, Shop, User
from shopapi.accounts.rules import (
    MemberRow,
    Permission,
    Role,
    permissions_of,
    sign_in_name,
)
from shopapi.accounts.rules.api_keys import ApiKeyRow, scope_of
from shopapi.core.actor import Actor
from shopapi.core.clock import now

SIGN_IN = "sign_in"
"""Session key of the session's own constant id, stored with devices: Django's key changes with the password."""

SIGNED_IN_AT = "signed_in_at"
"""When a session began, in ISO 8601."""


PROVED_AT = "proved_at"
"""When the person of a session last gave the password or a passkey, in ISO 8601."""


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
        cursor.execute("SELECT * FROM membership_by_key(%s)", [hashlib.sha256(token.encode()).hexdigest()])
        found = cursor.fetchone()
    if found is None:
        return None
    shop_id, member_id, role, may_see_cost, permissions = found
    return actor_of(shop_id, member_id, Role(role), may_see_cost=may_see_cost, scope=permissions)


def live_api_keys(actor: Actor) -> QuerySet[ApiToken]:
    """The keys that are neither revoked nor past their end."""
    kept = ApiToken.objects.filter(shop=actor.shop_id, revoked_at=None)
    return kept.exclude(expires_at__lte=now())


def permissions_of_key(key: ApiToken) -> frozenset[str]:
    """What a key may do now."""
    member = Member.objects.get(shop=key.shop_id, id=key.member_id)
    return scope_of(permissions_of(Role(member.role), may_see_cost=member.may_see_cost), key.permissions)


def show_api_key(_: Actor, key: ApiToken) -> ApiKeyRow:
    return ApiKeyRow(
        id=key.id,
        created_at=key.created_at,
        changed_at=key.changed_at,
        member_id=key.member_id,
        label=key.label,
        permissions=None if key.permissions is None else [Permission(one) for one in key.permissions],
        ready=key.digest is not None,
        expires_at=key.expires_at,
        revoked_at=key.revoked_at,
        last_used_on=key.last_used_on,
    )


def user_by_email(email: str) -> User | None:
    """The user with this address in any spelling (case, width); see `rules.sign_in_name`."""
    return User.objects.filter(sign_in=sign_in_name(email)).first()


@lru_cache(maxsize=512)
def _view_of(role: Role, *, may_see_cost: bool, scope: frozenset[str] | None) -> tuple[frozenset[str], str]:
    permissions = scope_of(permissions_of(role, may_see_cost=may_see_cost), scope)
    return permissions, hashlib.sha256(" ".join(sorted(permissions)).encode()).hexdigest()[:8]


def actor_of(
    shop_id: UUID, member_id: UUID, role: Role, *, may_see_cost: bool, scope: Collection[str] | None = None
) -> Actor:
    """An actor with the permissions of a role, or with those of them in `scope`. `view`: a digest of what they see."""
    within = None if scope is None else frozenset(scope)
    permissions, view = _view_of(role, may_see_cost=may_see_cost, scope=within)
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
