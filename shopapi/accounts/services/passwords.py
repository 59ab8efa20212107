"""Changing a member's own password."""

from collections.abc import Mapping

from django.contrib.auth.hashers import make_password

from shopapi.accounts.models import ApiToken, MailedLink, User
from shopapi.accounts.rules import (
    PasswordChange,
    Permission,
)
from shopapi.accounts.services.credentials import check_sign_in, known_browser_name
from shopapi.accounts.services.invitations import withdraw_invitations
from shopapi.accounts.services.users import refuse_weak_password
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop


def change_password(*, actor: Actor, data: PasswordChange, network: str, marks: Mapping[str, str]) -> User:
    """Change the acting member's password; ends their API keys and other sessions.

    An owner's new password withdraws every open invitation: someone who knew the old one may have read the links.
    Wrong guesses count as at sign-in, so the caller holds no transaction. `marks`: the browser's cookies by name (see
    `known_browser_name`). Raises Invalid `wrong_password` or `weak_password`, TooMany `too_many_tries`.
    """
    with in_shop(actor.shop_id):
        email = User.objects.get(memberships=actor.member_id).email
    try:
        mark = marks.get(known_browser_name(email), "")
        user = check_sign_in(email=email, password=data.old, network=network, mark=mark)
    except Invalid:
        fault = FieldError("old", "wrong_password", message="not_your_password")
        raise Invalid("wrong_password", reason=fault.reason, fields=[fault]) from None
    refuse_weak_password(data.new, user, field="new")
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        user.password = make_password(data.new)
        user.save(update_fields=["password"])
        ended = end_access_by_password(actor)
        if actor.member_id is not None:
            record(actor, "password changed", ("member", actor.member_id), keys=ended)
    return user


def end_access_by_password(actor: Actor) -> int:
    """End what somebody who knew the old password may have made or read: keys, mailed links, an owner's invitations.

    Returns how many keys ended. Sessions end by themselves, since Django binds them to the password.
    """
    MailedLink.objects.filter(user__memberships=actor.member_id, used_at=None).update(used_at=now())
    if actor.may(Permission.MANAGE_MEMBERS):
        withdraw_invitations(actor)
    keys = ApiToken.objects.filter(shop=actor.shop_id, member=actor.member_id, revoked_at=None)
    return keys.update(revoked_at=now())
