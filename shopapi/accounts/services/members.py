"""Ending and resuming memberships."""

from shopapi.accounts import queries
from shopapi.accounts.models import ApiToken, Device, Member
from shopapi.accounts.rules import (
    Permission,
    Role,
    is_last_owner,
)
from shopapi.accounts.services.invitations import withdraw_links_seen_by
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict
from shopapi.core.rows import row_for
from shopapi.core.schema import Target


@command(needs=Permission.MANAGE_MEMBERS, rest_name="end", asks_proof=True)
def end_membership(*, actor: Actor, data: Target) -> Member:
    """End a membership at once, with its devices, keys and open invitations; its sessions lose access.

    The end of an owner's membership withdraws every open invitation of the shop. A phone may still upload its pending
    commands. Raises Conflict `last_owner`.
    """
    member = row_for(Member, actor, data.id)
    if not member.active:
        return member
    if is_last_owner(Role(member.role), owners=queries.active_owners(actor)):
        raise Conflict("last_owner")
    member.active, member.ended_at = False, now()
    member.save(update_fields=["active", "ended_at"])
    devices = Device.objects.filter(shop=actor.shop_id, member=member, revoked_at=None)
    keys = ApiToken.objects.filter(shop=actor.shop_id, member=member, revoked_at=None)
    ended = {"devices": devices.update(revoked_at=member.ended_at), "keys": keys.update(revoked_at=member.ended_at)}
    withdraw_links_seen_by(actor, member)
    record(actor, "membership ended", ("member", member.id), **ended)
    return member


@command(needs=Permission.MANAGE_MEMBERS, rest_name="resume", asks_proof=True)
def resume_membership(*, actor: Actor, data: Target) -> Member:
    """Resume a membership, with the devices that ended with it. Keys stay ended."""
    member = row_for(Member, actor, data.id)
    if member.active:
        return member
    Device.objects.filter(shop=actor.shop_id, member=member, revoked_at=member.ended_at).update(revoked_at=None)
    member.active, member.ended_at = True, None
    member.save(update_fields=["active", "ended_at"])
    record(actor, "membership resumed", ("member", member.id))
    return member
