"""Signed-in browsers: registered, bound to a session, signed off."""

import hashlib
from uuid import UUID

from django.contrib.sessions.backends.base import SessionBase

from shopapi.accounts import queries
from shopapi.accounts.models import Device
from shopapi.accounts.rules import (
    NewDevice,
    Permission,
    letter_of,
)
from shopapi.accounts.services.invitations import withdraw_links_seen_by
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Forbidden, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop


def register_device(*, actor: Actor, data: NewDevice) -> Device:
    """Register a browser and give it its letter; the same id again gives the same device."""
    if actor.member_id is None:
        raise Forbidden("forbidden", message="member_registers_device")
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
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


def sign_in_of(session: SessionBase) -> str:
    """The constant id of a session, given to it here where it has none yet."""
    # Derived from the key, so that two requests at once give the session the same name.
    sign_in = session.get(queries.SIGN_IN) or hashlib.sha256(f"sign-in:{session.session_key}".encode()).hexdigest()
    session[queries.SIGN_IN] = sign_in
    return str(sign_in)


def use_device(*, actor: Actor, device_id: UUID, session: SessionBase) -> None:
    """Bind a browser's session to one of the acting member's devices: once that is signed off, the session is too.

    Raises NotFound for any other device. A session that is signed off stays so, even if it is used on an active device.
    """
    if actor.device_id == device_id or not actor.may(Permission.READ):
        return
    sign_in = sign_in_of(session)
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        device = queries.devices(actor).select_for_update().filter(id=device_id, member=actor.member_id).first()
        if device is None:
            raise NotFound("device", device_id, field="device")
        if sign_in not in device.sign_ins:
            device.sign_ins = [*device.sign_ins, sign_in]
            device.save(update_fields=["sign_ins"])


@command(needs=Permission.MANAGE_MEMBERS)
def revoke_device(*, actor: Actor, data: Target) -> Device:
    """Sign a browser off: its sessions lose access, and its pending commands are held for the owner.

    So do the member's earlier sessions without a known device. If the member is an owner, every open invitation of the
    shop is withdrawn.
    """
    device = queries.devices(actor).select_for_update().filter(id=data.id).first()
    if device is None:
        raise NotFound("device", data.id)
    # One that ended with its membership comes back with it; one that was lost too does not.
    if device.revoked_at is None or queries.was_signed_off_by_leaving(device):
        device.revoked_at = now()
    device.save(update_fields=["revoked_at"])
    withdraw_links_seen_by(actor, device.member)
    record(actor, "device revoked", ("device", device.id))
    return device
