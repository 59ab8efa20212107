"""Invitations: create, withdraw, accept."""

import hashlib
import hmac
from base64 import urlsafe_b64encode
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.conf import settings
from django.db import IntegrityError, transaction

from shopapi.accounts import queries
from shopapi.accounts.models import Invitation, Member, Shop, User
from shopapi.accounts.rules import (
    INVITATION_DAYS,
    TRIES_PER_NETWORK,
    Acceptance,
    InvitationStatus,
    NewInvitation,
    Permission,
    Role,
    network_block,
    permissions_of,
    sign_in_name,
    status_of_invitation,
)
from shopapi.accounts.services.credentials import check_sign_in
from shopapi.accounts.services.factors import check_second_factor
from shopapi.accounts.services.throttling import count_attempt, refuse_too_many
from shopapi.accounts.services.users import make_user, refuse_weak_password
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.rows import row_for
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop


@command(needs=Permission.MANAGE_MEMBERS, creates_row=True, asks_proof=True)
def invite_member(*, actor: Actor, data: NewInvitation) -> Invitation:
    """Invite a person by a link where they set their own password. Withdraws an earlier open invitation of theirs.

    Raises Invalid `already_here` for the address of a member, one who has left too.
    """
    sign_in = sign_in_name(data.email)
    member = queries.members(actor).filter(user__sign_in=sign_in).first()
    if member is not None:
        message = "already_here" if member.active else "has_left"
        context = {"name": member.name}
        fault = FieldError("email", "already_here", message=message, context=context)
        raise Invalid("already_here", message=message, context=context, fields=[fault])
    withdraw_invitations(actor, sign_in=sign_in)
    invitation = Invitation.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        name=data.name,
        email=data.email,
        sign_in=sign_in,
        role=data.role,
        may_see_cost=data.may_see_cost,
        token_hash=hashlib.sha256(_invitation_secret(data.id, settings.SECRET_KEY).encode()).hexdigest(),
        expires_at=now() + timedelta(days=INVITATION_DAYS),
        created_by_id=actor.member_id,
        device_id=actor.device_id,
    )
    record(actor, "member invited", ("invitation", invitation.id), role=data.role)
    return invitation


@command(needs=Permission.MANAGE_MEMBERS)
def withdraw_invitation(*, actor: Actor, data: Target) -> Invitation:
    """Withdraw an invitation: its link stops working. Raises Conflict `accepted`."""
    invitation = row_for(Invitation, actor, data.id)
    if invitation.accepted_at is not None:
        raise Conflict("accepted", message="has_joined", context={"name": invitation.name})
    withdraw_invitations(actor, id=data.id)
    invitation.refresh_from_db()
    return invitation


def withdraw_invitations(actor: Actor, **which: object) -> None:
    still_open = queries.invitations(actor).filter(accepted_at=None, withdrawn_at=None, **which)
    for invitation in still_open.select_for_update():
        invitation.withdrawn_at = now()
        invitation.save(update_fields=["withdrawn_at"])
        record(actor, "invitation withdrawn", ("invitation", invitation.id))


def withdraw_links_seen_by(actor: Actor, member: Member) -> None:
    """Withdraw every open invitation if the member may manage members, and so may have read its link."""
    if Permission.MANAGE_MEMBERS in permissions_of(Role(member.role), may_see_cost=member.may_see_cost):
        withdraw_invitations(actor)


def address_of_invitation(*, actor: Actor, invitation_id: UUID) -> str:
    """The full link of an open invitation, derived from the server's key again. Raises NotFound, Conflict.

    Anyone who has it can join, so reading it is logged.
    """
    actor.require(Permission.MANAGE_MEMBERS)
    actor.require_proof()
    invitation = row_for(Invitation, actor, invitation_id, lock=False)
    status = _status(invitation)
    if status != "open":
        raise Conflict(status, message=f"invitation_{status}")
    for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        secret = _invitation_secret(invitation.id, key)
        if hmac.compare_digest(hashlib.sha256(secret.encode()).hexdigest(), invitation.token_hash):
            record(actor, "invitation link read", ("invitation", invitation.id))
            return f"{settings.ORIGIN}/join/{secret}"
    raise Conflict("link_key_gone", message="invitation_key_gone")


def _invitation_secret(invitation_id: UUID, key: str) -> str:
    """The 256-bit secret, an HMAC of the id; stored in no table, log or receipt."""
    own = hmac.new(key.encode(), b"shopapi.accounts.invitation", hashlib.sha256).digest()
    return urlsafe_b64encode(hmac.new(own, invitation_id.bytes, hashlib.sha256).digest()).rstrip(b"=").decode()


def _status(invitation: Invitation) -> InvitationStatus:
    return status_of_invitation(
        accepted_at=invitation.accepted_at,
        withdrawn_at=invitation.withdrawn_at,
        expires_at=invitation.expires_at,
        at=now(),
    )


@dataclass(frozen=True)
class Invited:
    """The invitation of a link. `signs_in`: its address has a sign-in already."""

    shop: Shop
    invitation: Invitation
    status: InvitationStatus
    signs_in: bool


def find_invitation(*, secret: str, network: str) -> Invited:
    """The invitation of a link. Raises NotFound where there is none, TooMany after too many wrong links.

    A valid link is never throttled: wrong links of others must not lock its person out.
    """
    found = queries.shop_of_invitation(secret)
    if found is None:
        place = network_block(network)
        refuse_too_many("invitation", place, TRIES_PER_NETWORK, "too_many_invitations")
        count_attempt("invitation", place)
        raise NotFound("invitation", "")
    shop_id, invitation_id = found
    with in_shop(shop_id):
        invitation = Invitation.objects.get(id=invitation_id)
        shop = Shop.objects.get(id=shop_id)
    signs_in = User.objects.filter(sign_in=invitation.sign_in).exists()
    return Invited(shop, invitation, _status(invitation), signs_in)


def accept_invitation(*, secret: str, data: Acceptance, network: str) -> User:
    """Let the invited person join with a password of their own.

    A person with a sign-in (for another shop) gives its password instead. The caller holds no transaction: a wrong
    password is counted as at sign-in. Raises NotFound, TooMany, Conflict with the invitation's status as its code,
    Invalid `weak_password`, `wrong_password`, or for the second factor `second_factor_needed` or `wrong_code`.
    """
    invited = find_invitation(secret=secret, network=network)
    if invited.status != "open":
        raise Conflict(invited.status, message=f"invitation_{invited.status}")
    email = invited.invitation.email
    known = _check_own_password(email, data.password, network) if invited.signs_in else None
    if known is not None:
        check_second_factor(known, data.code)
    if known is None:
        refuse_weak_password(data.password, User(email=email), field="password")
    with in_shop(invited.shop.id):
        lock_shop(invited.shop.id)
        claimed = Invitation.objects.filter(
            id=invited.invitation.id, accepted_at=None, withdrawn_at=None, expires_at__gt=now()
        )
        if not claimed.update(accepted_at=now()):
            # Somebody else was first, or the owner took it back meanwhile.
            status = _status(Invitation.objects.get(id=invited.invitation.id))
            raise Conflict(status, message=f"invitation_{status}")
        user = known or make_user(email, data.password)
        member = _join(invited, user)
        actor = queries.actor_of(invited.shop.id, member.id, Role(member.role), may_see_cost=member.may_see_cost)
        record(actor, "member joined", ("member", member.id), role=member.role)
    return user


def _join(invited: Invited, user: User) -> Member:
    invitation = invited.invitation
    try:
        with transaction.atomic():
            return Member.objects.create(
                id=invitation.id,
                shop=invited.shop,
                user=user,
                name=invitation.name,
                role=invitation.role,
                may_see_cost=invitation.may_see_cost,
            )
    except IntegrityError:
        # This person works here already, or the id that the owner's app gave is somebody else's.
        raise Conflict("member_known") from None


def join_at_once(*, actor: Actor, data: NewInvitation, password: str) -> User:
    """Invite a person and accept for them, for set-up by the server itself."""
    invitation = invite_member(actor=actor, data=data)
    secret = _invitation_secret(invitation.id, settings.SECRET_KEY)
    return accept_invitation(secret=secret, data=Acceptance(password=password), network="")


def _check_own_password(email: str, password: str, network: str) -> User:
    try:
        return check_sign_in(email=email, password=password, network=network)
    except Invalid:
        fault = FieldError("password", "wrong_password", message="wrong_password_here")
        raise Invalid("wrong_password", reason=fault.reason, fields=[fault]) from None
