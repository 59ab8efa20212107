"""Keys of API clients."""

import hashlib
import secrets
from uuid import UUID

from shopapi.accounts.models import ApiToken, Member
from shopapi.accounts.rules import (
    Permission,
)
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import NotFound
from shopapi.core.tenancy import in_shop


def make_token(*, actor: Actor, member_id: UUID, label: str) -> str:
    """A new key for an API client of a member; it is shown once and kept only as a digest."""
    actor.require(Permission.MANAGE_MEMBERS)
    key = secrets.token_urlsafe(32)
    with in_shop(actor.shop_id):
        if not Member.objects.filter(id=member_id).exists():
            raise NotFound("member", member_id)
        token = ApiToken.objects.create(
            shop_id=actor.shop_id,
            member_id=member_id,
            label=label,
            digest=hashlib.sha256(key.encode()).hexdigest(),
        )
        record(actor, "token made", ("token", token.id), label=label)
    return key
