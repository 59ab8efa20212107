"""Keys of API clients: made, shown once, revoked."""

import hashlib
import secrets
from uuid import UUID

from shopapi.accounts import queries
from shopapi.accounts.models import ApiToken, Member
from shopapi.accounts.rules import Permission
from shopapi.accounts.rules.api_keys import MOST_API_KEYS, NewApiKey
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop


@command(needs=Permission.MANAGE_MEMBERS, creates_row=True, asks_proof=True)
def add_api_key(*, actor: Actor, data: NewApiKey) -> ApiToken:
    """Make a key for another program that acts as the acting member; its value comes from `api-keys/{id}/value`.

    Raises Invalid for a permission that the actor has not, for the audit trail without costs (it names them), and for
    an end in the past; Conflict beyond twenty keys in use.
    """
    refuse_known_id(ApiToken, data.id)
    lacking = sorted(set(data.permissions) - actor.permissions)
    if lacking:
        context = {"permissions": ", ".join(one.replace("_", " ") for one in lacking)}
        raise Invalid("invalid", fields=[FieldError("permissions", "key_beyond_own", context=context)])
    if Permission.SEE_AUDIT in data.permissions and Permission.SEE_COST not in data.permissions:
        raise Invalid("invalid", fields=[FieldError("permissions", "audit_shows_costs")])
    if data.expires_at is not None and data.expires_at <= now():
        raise Invalid("invalid", fields=[FieldError("expires_at", "key_ends_in_past")])
    if actor.member_id is None:
        raise Invalid("invalid", fields=[FieldError("id", "key_needs_member")])
    if queries.live_api_keys(actor).count() >= MOST_API_KEYS:
        raise Conflict("too_many_keys", context={"most": MOST_API_KEYS})
    key = ApiToken.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        label=data.label,
        permissions=sorted(set(data.permissions)),
        expires_at=data.expires_at,
    )
    record(actor, "api key added", ("api_key", key.id), label=key.label, permissions=key.permissions)
    return key


@command(needs=Permission.MANAGE_MEMBERS, rest_name="revoke")
def revoke_api_key(*, actor: Actor, data: Target) -> ApiToken:
    """End a key at once."""
    key = row_for(ApiToken, actor, data.id)
    if key.revoked_at is None:
        key.revoked_at = now()
        key.save(update_fields=["revoked_at"])
        record(actor, "api key revoked", ("api_key", key.id), label=key.label)
    return key


def make_key_value(*, actor: Actor, key_id: UUID) -> str:
    """The value of a key, shown once and kept only as a digest. A second one ends the first.

    Raises NotFound; Conflict `key_is_over` for a revoked key.
    """
    actor.require(Permission.MANAGE_MEMBERS)
    actor.require_proof()
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        key = row_for(ApiToken, actor, key_id)
        if key.revoked_at is not None:
            raise Conflict("key_is_over")
        # Whoever holds the value acts as the member within its permissions: nobody gets more than they have.
        wanted = queries.permissions_of_key(key)
        if not wanted <= actor.permissions:
            context = {"permissions": ", ".join(sorted(wanted - actor.permissions)).replace("_", " ")}
            raise Invalid("invalid", fields=[FieldError("permissions", "key_beyond_own", context=context)])
        value = secrets.token_urlsafe(32)
        key.digest = _digest_of(value)
        key.save(update_fields=["digest"])
        record(actor, "api key shown", ("api_key", key.id), label=key.label)
    return value


def make_token(*, actor: Actor, member_id: UUID, label: str) -> str:
    """A new key with all that a member may, made on the server; it is shown once and kept only as a digest."""
    actor.require(Permission.MANAGE_MEMBERS)
    key = secrets.token_urlsafe(32)
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        if not Member.objects.filter(id=member_id).exists():
            raise NotFound("member", member_id)
        token = ApiToken.objects.create(shop_id=actor.shop_id, member_id=member_id, label=label, digest=_digest_of(key))
        record(actor, "token made", ("token", token.id), label=label)
    return key


def _digest_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()
