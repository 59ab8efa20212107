"""A new password and a new address by a link in a mail."""

import hashlib
import hmac
import logging
from base64 import urlsafe_b64encode
from datetime import timedelta
from typing import Any, cast
from uuid import UUID

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.core.mail import EmailMessage, get_connection
from django.db import IntegrityError, transaction

from shopapi.accounts import queries
from shopapi.accounts.models import MailedLink, User
from shopapi.accounts.rules import TRIES_PER_NETWORK, MailPurpose, network_block, sign_in_name
from shopapi.accounts.rules.mailed_links import (
    ASKS_PER_NETWORK,
    LINK_LIFE,
    LINKS_PER_HOUR,
    MAILS,
    AddressChange,
    MailText,
    ResetPassword,
)
from shopapi.accounts.services.credentials import check_sign_in
from shopapi.accounts.services.passwords import end_access_by_password
from shopapi.accounts.services.throttling import count_attempt, refuse_too_many
from shopapi.accounts.services.users import refuse_weak_password
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.feed import lock_shop
from shopapi.core.languages import Language
from shopapi.core.rendering import language
from shopapi.core.tenancy import in_shop

log = logging.getLogger("shopapi.accounts")

SECONDS = 20
PAGES = {MailPurpose.RESET: "new-password", MailPurpose.ADDRESS: "confirm-address"}


def sends_mail() -> bool:
    """Whether this server has a mail server."""
    return bool(settings.SMTP)


def ask_for_reset(*, email: str, network: str) -> None:
    """Mail a link to set a new password. Says nothing about whether there is such a user.

    Raises Conflict `no_mail_server`, TooMany `too_many_tries` for a network that asks again and again.
    """
    _require_mail()
    place = network_block(network)
    refuse_too_many("reset", place, ASKS_PER_NETWORK, "too_many_resets")
    count_attempt("reset", place)
    user = User.objects.filter(sign_in=sign_in_name(email), is_active=True).first()
    actor = None if user is None else queries.actor_for_user(user.id)
    if user is None or actor is None:
        return
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        if _recent_links(user, MailPurpose.RESET) < LINKS_PER_HOUR:
            link = _make_link(user, MailPurpose.RESET)
            _send(actor, link, MailText.RESET)


def reset_password(*, data: ResetPassword, network: str) -> User:
    """Set a new password by a mailed link. Ends every session, key and other link of the user; second factors stay.

    Raises Conflict `link_over`, Invalid `weak_password`, TooMany after too many wrong links.
    """
    link = _find_link(data.token, MailPurpose.RESET, network)
    user = link.user
    actor = queries.actor_for_user(user.id)
    if actor is None:
        raise Conflict("link_over")
    refuse_weak_password(data.password, user, field="password")
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        _claim(link)
        user.password = make_password(data.password)
        user.save(update_fields=["password"])
        ended = end_access_by_password(actor)
        if actor.member_id is not None:
            record(actor, "password reset", ("member", actor.member_id), keys=ended)
        _send(actor, link, MailText.RESET_DONE)
    return user


def ask_for_address(*, actor: Actor, data: AddressChange, network: str, mark: str) -> None:
    """Mail a link to a new address, which replaces the old one once the link is used; and a note to the old one.

    Wrong passwords count as at sign-in, so the caller holds no transaction. Raises Invalid, TooMany, Conflict.
    """
    _require_mail()
    with in_shop(actor.shop_id):
        former = User.objects.get(memberships=actor.member_id).email
    try:
        user = check_sign_in(email=former, password=data.password, network=network, mark=mark)
    except Invalid:
        fault = FieldError("password", "wrong_password", message="not_your_password")
        raise Invalid("wrong_password", reason=fault.reason, fields=[fault]) from None
    if User.objects.filter(sign_in=sign_in_name(data.email)).exists():
        raise Invalid("email_taken", fields=[FieldError("email", "email_taken")])
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        if _recent_links(user, MailPurpose.ADDRESS) >= LINKS_PER_HOUR:
            raise Conflict("too_many_links")
        # The newest counts alone.
        end_links(user, purpose=MailPurpose.ADDRESS)
        link = _make_link(user, MailPurpose.ADDRESS, email=data.email)
        _send(actor, link, MailText.CONFIRM_ADDRESS)
        _send(actor, link, MailText.ADDRESS_ASKED)
        if actor.member_id is not None:
            record(actor, "address change asked", ("member", actor.member_id))


def confirm_address(*, token: str, network: str) -> None:
    """Let a user sign in with the address at which this link arrived. Raises Conflict `link_over`, Invalid, TooMany."""
    link = _find_link(token, MailPurpose.ADDRESS, network)
    user = link.user
    actor = queries.actor_for_user(user.id)
    if actor is None:
        raise Conflict("link_over")
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        _claim(link)
        try:
            with transaction.atomic():
                user.email, user.sign_in = link.email, sign_in_name(link.email)
                user.save(update_fields=["email", "sign_in"])
        except IntegrityError:
            raise Conflict("email_taken") from None
        # A link for a new password at the old address stops working.
        end_links(user)
        if actor.member_id is not None:
            record(actor, "address changed", ("member", actor.member_id))
        _send(actor, link, MailText.ADDRESS_CHANGED)


def end_links(user: User, **which: object) -> None:
    """End the open links of a user."""
    MailedLink.objects.filter(user=user, used_at=None, **which).update(used_at=now())


def send_mail(*, link_id: UUID, text: MailText) -> None:
    """Send one mail about a link. Raises OSError or an SMTPException when the mail server did not take it.

    A link that has been used or replaced, or is too old, is not sent any more.
    """
    link = MailedLink.objects.select_related("user").filter(id=link_id).first()
    if link is None or not settings.SMTP:
        return
    names_link = text in {MailText.RESET, MailText.CONFIRM_ADDRESS}
    if names_link and (link.used_at is not None or link.expires_at <= now()):
        return
    secret = _secret_of(link) if names_link else ""
    if secret is None:
        return
    former = link.former_email or link.user.email
    subject, body = MAILS[cast(Language, link.language)][text]
    address = f"{settings.ORIGIN}/{PAGES[MailPurpose(link.purpose)]}#{secret}"
    words = {"email": former, "new_email": link.email, "link": address, "origin": settings.ORIGIN}
    message = EmailMessage(
        subject,
        body.format_map(words),
        settings.SMTP["sender"],
        [link.email if text == MailText.CONFIRM_ADDRESS else former],
        headers={"Auto-Submitted": "auto-generated", "Message-ID": f"<{text}.{link.id}@{settings.ALLOWED_HOSTS[0]}>"},
        connection=_connection(),
    )
    message.send()


def _connection() -> Any:
    given = settings.SMTP
    return get_connection(
        "django.core.mail.backends.smtp.EmailBackend",
        host=given["host"],
        port=given["port"],
        username=given["user"],
        password=given["password"],
        use_tls=given["tls"] == "start",
        use_ssl=given["tls"] == "always",
        timeout=SECONDS,
    )


def _send(actor: Actor, link: MailedLink, text: MailText) -> None:
    after_commit("accounts.send_mail", shop_id=actor.shop_id, link_id=link.id, text=text)


def _require_mail() -> None:
    if not sends_mail():
        raise Conflict("no_mail_server")


def _recent_links(user: User, purpose: MailPurpose) -> int:
    return MailedLink.objects.filter(user=user, purpose=purpose, created_at__gt=now() - timedelta(hours=1)).count()


def _make_link(user: User, purpose: MailPurpose, *, email: str = "") -> MailedLink:
    # Those that are over are of no use to anybody; a note about one may still have to be sent.
    MailedLink.objects.filter(user=user, expires_at__lt=now() - timedelta(days=7)).delete()
    link = MailedLink(user=user, purpose=purpose, email=email, language=language.get())
    link.former_email = user.email if email else ""
    link.token_hash = _digest(_secret(link.id, settings.SECRET_KEY))
    link.created_at, link.expires_at = now(), now() + LINK_LIFE
    link.save(force_insert=True)
    return link


def _find_link(token: str, purpose: MailPurpose, network: str) -> MailedLink:
    link = MailedLink.objects.select_related("user").filter(token_hash=_digest(token), purpose=purpose).first()
    if link is None:
        place = network_block(network)
        refuse_too_many("mailed link", place, TRIES_PER_NETWORK, "too_many_invitations")
        count_attempt("mailed link", place)
    if link is None or link.used_at is not None or link.expires_at <= now():
        raise Conflict("link_over")
    return link


def _claim(link: MailedLink) -> None:
    """Use a link up; raises Conflict when somebody else was first."""
    if not MailedLink.objects.filter(id=link.id, used_at=None, expires_at__gt=now()).update(used_at=now()):
        raise Conflict("link_over")


def _secret_of(link: MailedLink) -> str | None:
    """The secret of a link, derived again; None where the server's key has changed since."""
    for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS):
        secret = _secret(link.id, key)
        if hmac.compare_digest(_digest(secret), link.token_hash):
            return secret
    return None


def _secret(link_id: UUID, key: str) -> str:
    """The 256-bit secret, an HMAC of the id; stored in no table, log or outbox."""
    own = hmac.new(key.encode(), b"shopapi.accounts.mailed-link", hashlib.sha256).digest()
    return urlsafe_b64encode(hmac.new(own, link_id.bytes, hashlib.sha256).digest()).rstrip(b"=").decode()


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
