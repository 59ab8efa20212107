"""Shops, members, devices and keys: the only writer of this app."""

import hashlib
import secrets
from datetime import timedelta
from uuid import UUID

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from shopapi.accounts import queries
from shopapi.accounts.models import ApiToken, Device, Member, Shop, SignInTry, User
from shopapi.accounts.rules import (
    FirstShop,
    NewDevice,
    NewMember,
    PasswordChange,
    Permission,
    Role,
    is_last_owner,
    letter_of,
    starting_book,
)
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Forbidden, Invalid, NotFound, TooMany
from shopapi.core.ids import uuid7
from shopapi.core.shape import Target
from shopapi.core.tenancy import in_shop

TRY_WINDOW = timedelta(minutes=5)
TRIES_PER_ADDRESS = 5
TRIES_PER_NETWORK = 25


def make_first_shop(*, data: FirstShop) -> Actor:
    """Open the first shop of an installation with its owner; raises Conflict once there is one."""
    with transaction.atomic():
        # Of two who come first at the same moment, the second finds the shop of the other.
        _wait_turn("first shop")
        if queries.every_shop():
            raise Conflict("shop_exists", "There is a shop already; its owner can add members.")
        return make_shop(data=data)


def make_shop(*, data: FirstShop) -> Actor:
    """Open a shop with its owner, and act as that owner."""
    shop_id, member_id = uuid7(), uuid7()
    with in_shop(shop_id):
        shop = Shop.objects.create(
            id=shop_id,
            name=data.shop_name,
            zone=data.zone,
            currency=data.currency,
            book=starting_book(data.currency),
        )
        user = _make_user(data.email, data.password)
        Member.objects.create(id=member_id, shop=shop, user=user, name=data.name, role=Role.OWNER)
        actor = queries.actor_of(shop_id, member_id, Role.OWNER, may_see_cost=True)
        record(actor, "shop opened", ("shop", shop_id), name=data.shop_name)
    return actor


@command(needs=Permission.MANAGE_MEMBERS)
def add_member(*, actor: Actor, data: NewMember) -> Member:
    """Let a person join the shop."""
    user = _make_user(data.email, data.password)
    member = Member.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        user=user,
        name=data.name,
        role=data.role,
        may_see_cost=data.may_see_cost,
    )
    record(actor, "member added", ("member", member.id), role=data.role)
    return member


@command(needs=Permission.MANAGE_MEMBERS)
def end_membership(*, actor: Actor, data: Target) -> Member:
    """End a membership at once, with its devices and keys; sessions see nothing more of the shop.

    A phone with unsent work may still hand it in. Raises Conflict `last_owner`.
    """
    member = _member(actor, data.id)
    if not member.active:
        return member
    if is_last_owner(Role(member.role), owners=queries.active_owners(actor)):
        raise Conflict("last_owner", "A shop needs an owner. Let another owner join first, then end this membership.")
    member.active, member.ended_at = False, now()
    member.save(update_fields=["active", "ended_at"])
    devices = Device.objects.filter(shop=actor.shop_id, member=member, revoked_at=None)
    keys = ApiToken.objects.filter(shop=actor.shop_id, member=member, revoked_at=None)
    ended = {"devices": devices.update(revoked_at=member.ended_at), "keys": keys.update(revoked_at=member.ended_at)}
    record(actor, "membership ended", ("member", member.id), **ended)
    return member


@command(needs=Permission.MANAGE_MEMBERS)
def resume_membership(*, actor: Actor, data: Target) -> Member:
    """Take a member back, with the devices that ended with the membership. Keys stay ended."""
    member = _member(actor, data.id)
    if member.active:
        return member
    Device.objects.filter(shop=actor.shop_id, member=member, revoked_at=member.ended_at).update(revoked_at=None)
    member.active, member.ended_at = True, None
    member.save(update_fields=["active", "ended_at"])
    record(actor, "membership resumed", ("member", member.id))
    return member


def _member(actor: Actor, member_id: UUID) -> Member:
    member = queries.members(actor).select_for_update().filter(id=member_id).first()
    if member is None:
        raise NotFound("member", member_id)
    return member


def _make_user(email: str, password: str) -> User:
    try:
        with transaction.atomic():
            return User.objects.create(email=email, password=make_password(password))
    except IntegrityError:
        words = "This address signs in somebody already; take another."
        raise Invalid("email_taken", words, fields=[FieldError("email", "email_taken", words)]) from None


def check_sign_in(*, email: str, password: str, network: str) -> User:
    """The user of an address and password. Raises TooMany `too_many_tries` or Invalid `wrong_credentials`.

    Failures are counted in the database, per address and per network, so that every web process sees them. The caller
    holds no transaction: what is refused here is still counted.
    """
    words = "Too many wrong passwords. Wait five minutes, then try again."
    with transaction.atomic():
        # One try at an address, and from a network, after the other: many at once would all find the count still low.
        # The address first, always: nobody who has the turn of a network waits for one who waits for it.
        _wait_turn(_mark("email", email.lower()))
        _wait_turn(_mark("network", network))
        refuse_too_many("email", email.lower(), TRIES_PER_ADDRESS, words)
        refuse_too_many("network", network, TRIES_PER_NETWORK, words)
        user = User.objects.filter(email__iexact=email, is_active=True).first()
        # An unknown address costs the same work as a known one.
        right = check_password(password, user.password if user else make_password(None))
        if user is not None and right:
            SignInTry.objects.filter(about=_mark("email", email.lower())).delete()
            return user
        note_try("email", email.lower())
        note_try("network", network)
    raise Invalid("wrong_credentials", "This address and password do not belong together.")


def change_password(*, actor: Actor, data: PasswordChange, network: str) -> User:
    """Give the acting member another password, ending their keys; their other sessions end with the old one.

    Guesses at the old one count as at sign-in, so the caller holds no transaction. Raises Invalid `wrong_password` or
    `weak_password`, TooMany `too_many_tries`.
    """
    with in_shop(actor.shop_id):
        email = User.objects.get(memberships=actor.member_id).email
    try:
        user = check_sign_in(email=email, password=data.old, network=network)
    except Invalid:
        words = "This is not your password until now."
        raise Invalid("wrong_password", words, fields=[FieldError("old", "wrong_password", words)]) from None
    try:
        validate_password(data.new, user)
    except ValidationError as error:
        words = " ".join(error.messages)
        raise Invalid("weak_password", words, fields=[FieldError("new", "weak_password", words)]) from None
    with in_shop(actor.shop_id):
        user.password = make_password(data.new)
        user.save(update_fields=["password"])
        keys = ApiToken.objects.filter(shop=actor.shop_id, member=actor.member_id, revoked_at=None)
        ended = keys.update(revoked_at=now())
        if actor.member_id is not None:
            record(actor, "password changed", ("member", actor.member_id), keys=ended)
    return user


def _wait_turn(mark: str) -> None:
    """Until the transaction ends, nobody else holds this mark."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [mark])


def refuse_too_many(kind: str, value: str, most: int, words: str) -> None:
    """Raise TooMany once `most` tries were noted of this within the last five minutes."""
    if SignInTry.objects.filter(about=_mark(kind, value), at__gt=now() - TRY_WINDOW).count() >= most:
        raise TooMany("too_many_tries", words, seconds=int(TRY_WINDOW.total_seconds()))


def note_try(kind: str, value: str) -> None:
    """Count a try in the database, so that every web process sees it. Who tried is kept as a digest alone."""
    SignInTry.objects.create(about=_mark(kind, value))
    SignInTry.objects.filter(at__lt=now() - TRY_WINDOW).delete()


def _mark(kind: str, value: str) -> str:
    return hashlib.sha256(f"{kind}:{value}".encode()).hexdigest()


def register_device(*, actor: Actor, data: NewDevice) -> Device:
    """Make a browser known and give it its letter; the same id again gives the same device."""
    if actor.member_id is None:
        raise Forbidden("forbidden", "Only a member can register a device.")
    with in_shop(actor.shop_id):
        Shop.objects.select_for_update().get(id=actor.shop_id)
        device = Device.objects.filter(id=data.id).first()
        if device is not None and device.member_id != actor.member_id:
            raise NotFound("device", data.id)
        if device is None:
            device = Device.objects.create(
                id=data.id,
                shop_id=actor.shop_id,
                member_id=actor.member_id,
                letter=letter_of(Device.objects.count()),
                label=data.label,
                build=data.build,
            )
            record(actor, "device registered", ("device", device.id), letter=device.letter)
    return device


@command(needs=Permission.MANAGE_MEMBERS)
def revoke_device(*, actor: Actor, data: Target) -> Device:
    """Stop a browser from sending: what it still holds is kept aside for the owner."""
    device = queries.devices(actor).select_for_update().filter(id=data.id).first()
    if device is None:
        raise NotFound("device", data.id)
    # One that ended with its membership may still hand facts in; lost, it may not.
    if device.revoked_at is None or queries.was_signed_off_by_leaving(device):
        device.revoked_at = now()
    device.save(update_fields=["revoked_at"])
    record(actor, "device revoked", ("device", device.id))
    return device


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
