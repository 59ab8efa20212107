"""Reads of shops and members, and the few look-ups that happen before the shop is known."""

import hashlib
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from shopapi.accounts.models import Device, Member, Shop
from shopapi.accounts.rules import (
    AuditRow,
    DeviceRow,
    MemberRow,
    Permission,
    Role,
    ShopRow,
    permissions_of,
    starting_book,
)
from shopapi.core.actor import Actor
from shopapi.core.models import AuditEvent

# Answers which shop a sign-in or a key belongs to. Runs as the owner of the tables, so it gives as little as it can.
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

# Answers which shop may still hold unsent work of somebody who has left it.
LEFT_FUNCTION = """
CREATE FUNCTION membership_left_by(of_user uuid) RETURNS TABLE (shop_id uuid, member_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id FROM accounts_member m
    WHERE m.user_id = of_user AND NOT m.active ORDER BY m.ended_at DESC, m.id LIMIT 1;
$$;
"""


def actor_for_user(user_id: UUID) -> Actor | None:
    """The actor that a sign-in stands for: its first active membership."""
    return _actor("SELECT * FROM memberships_of(%s) LIMIT 1", user_id)


def leaver_for_user(user_id: UUID) -> Actor | None:
    """Whose membership has ended may still hand in what their phone holds, and nothing else."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM membership_left_by(%s)", [user_id])
        found = cursor.fetchone()
    if found is None:
        return None
    shop_id, member_id = found
    return Actor(shop_id=shop_id, member_id=member_id, permissions=frozenset({Permission.HAND_IN}))


def actor_for_token(token: str) -> Actor | None:
    """The actor that an API key stands for."""
    return _actor("SELECT * FROM membership_by_token(%s)", hashlib.sha256(token.encode()).hexdigest())


def _actor(sql: str, key: UUID | str) -> Actor | None:
    with connection.cursor() as cursor:
        cursor.execute(sql, [key])
        found = cursor.fetchone()
    if found is None:
        return None
    shop_id, member_id, role, may_see_cost = found
    return actor_of(shop_id, member_id, Role(role), may_see_cost=may_see_cost)


def actor_of(shop_id: UUID, member_id: UUID, role: Role, *, may_see_cost: bool) -> Actor:
    """An actor with the permissions of a role. `view` names what they are shown: it changes when that changes."""
    permissions = permissions_of(role, may_see_cost=may_see_cost)
    view = hashlib.sha256(" ".join(sorted(permissions)).encode()).hexdigest()[:8]
    return Actor(shop_id=shop_id, member_id=member_id, permissions=permissions, view=view)


def system_actor(shop_id: UUID) -> Actor:
    """The shop's own clockwork: may do everything, is nobody."""
    return Actor(shop_id=shop_id, member_id=None, permissions=frozenset(Permission))


def every_shop() -> list[UUID]:
    """The ids of all shops, for work that goes through them one by one."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM every_shop()")
        return [row[0] for row in cursor.fetchall()]


def shops(actor: Actor) -> QuerySet[Shop]:
    return Shop.objects.filter(id=actor.shop_id)


def shop_of(actor: Actor) -> Shop:
    return shops(actor).get()


def members(actor: Actor) -> QuerySet[Member]:
    return Member.objects.filter(shop=actor.shop_id)


def active_owners(actor: Actor) -> int:
    return members(actor).filter(role=Role.OWNER, active=True).count()


def was_signed_off_by_leaving(device: Device) -> bool:
    """Whether a device ended with its member's membership, and not before as lost."""
    return device.revoked_at is not None and device.member.ended_at == device.revoked_at


def devices(actor: Actor) -> QuerySet[Device]:
    return Device.objects.filter(shop=actor.shop_id)


def show_device(actor: Actor, device: Device) -> DeviceRow:
    return DeviceRow.of(device)


def audit_events(actor: Actor) -> QuerySet[AuditEvent]:
    return AuditEvent.objects.filter(shop_id=actor.shop_id)


def show_audit_event(actor: Actor, event: AuditEvent) -> AuditRow:
    return AuditRow.model_validate(event)


def show_shop(actor: Actor, shop: Shop) -> ShopRow:
    """The shop as an actor sees it. Whose membership has ended learns nothing of its prices."""
    row = ShopRow.of(shop)
    if not actor.may(Permission.READ):
        return row.model_copy(update={"book": starting_book(shop.currency)})
    return row if actor.may(Permission.SEE_COST) else row.model_copy(update={"book": without_margin(row.book)})


def without_margin(book: dict[str, Any]) -> dict[str, Any]:
    """A price book as one sees it to whom costs are hidden: mark-ups would give them away."""
    return {**book, "part_bands": []}


def show_member(actor: Actor, member: Member) -> MemberRow:
    return MemberRow.of(member)
