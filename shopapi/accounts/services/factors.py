"""The second factor at sign-in: an authenticator app, recovery codes; changes of factors."""

import base64
import hashlib
import re
import secrets
from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

from django.contrib.sessions.backends.base import SessionBase
from django.db import transaction

from shopapi.accounts.models import AuthenticatorApp, LoginAttempt, Passkey, RecoveryCode, User
from shopapi.accounts.rules import TRY_WINDOW
from shopapi.accounts.rules.factors import (
    CODES_IN_WINDOW,
    RECOVERY_CODES,
    AuthenticatorSetUp,
    NewPasskey,
    PasskeyRow,
    SecondFactors,
)
from shopapi.accounts.rules.totp import TOTP_SECRET_BYTES, base32, matching_step, totp_uri
from shopapi.accounts.services import passkeys
from shopapi.accounts.services.sealing import opened, sealed
from shopapi.accounts.services.security_events import record_refused_tries
from shopapi.accounts.services.throttling import record_attempt, throttle_key, wait_for_turn
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, FieldError, Invalid, TooMany
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop

USE = "accounts.authenticator"
# Without letters and digits that look alike; 32 of them, five bits each.
ALPHABET = "abcdefghjkmnpqrstuvwxyz023456789"
Result = TypeVar("Result")


def factors_of(user: User) -> SecondFactors:
    """What a user signs in with besides the password."""
    rows = Passkey.objects.filter(user=user).order_by("created_at")
    return SecondFactors(
        email=user.email,
        passkeys=[
            PasskeyRow(id=one.id, label=one.label, created_at=one.created_at, last_used_at=one.last_used_at)
            for one in rows
        ],
        authenticator=_app_of(user) is not None,
        codes_left=RecoveryCode.objects.filter(user=user, used_at=None).count(),
    )


def check_second_factor(user: User, code: str) -> None:
    """Check the code that a user with a second factor gives after the right password; nothing without one.

    Raises Invalid `second_factor_needed` without a code (`authenticator`, `passkey`: what there is), `wrong_code`;
    TooMany. The caller holds no transaction: a wrong code must be counted.
    """
    has_app, has_passkey = _app_of(user) is not None, Passkey.objects.filter(user=user).exists()
    if not has_app and not has_passkey:
        return
    given = re.sub(r"[\s-]", "", code).lower()
    if not given:
        context = {"authenticator": int(has_app), "passkey": int(has_passkey)}
        fault = FieldError("code", "second_factor_needed", context=context)
        raise Invalid("second_factor_needed", context=context, fields=[fault])
    record_refused_tries(user, lambda: _check_code(user, given))


def _check_code(user: User, given: str) -> None:
    mark = throttle_key("factor", str(user.id))
    with transaction.atomic():
        wait_for_turn(mark)
        tried = LoginAttempt.objects.filter(subject_digest=mark)
        if tried.filter(at__gt=now() - TRY_WINDOW).count() >= CODES_IN_WINDOW:
            raise TooMany("too_many_tries", message="too_many_codes", seconds=int(TRY_WINDOW.total_seconds()))
        if _use_code(user, given):
            tried.delete()
            return
        record_attempt(mark, "")
    raise Invalid("wrong_code", fields=[FieldError("code", "wrong_code")])


def begin_authenticator(*, user: User) -> AuthenticatorSetUp:
    """A new secret for an authenticator app. It counts once `confirm_authenticator` has seen a code of it.

    Raises Conflict `authenticator_known` where one is set up.
    """
    if _app_of(user) is not None:
        raise Conflict("authenticator_known")
    secret = secrets.token_bytes(TOTP_SECRET_BYTES)
    kept = sealed(base32(secret), use=USE)
    AuthenticatorApp.objects.update_or_create(user=user, defaults={"secret": kept, "last_step": 0})
    return AuthenticatorSetUp(secret=base32(secret), uri=totp_uri(secret, user.email, passkeys.NAME))


def confirm_authenticator(*, actor: Actor, user: User, code: str) -> list[str]:
    """Let an authenticator app count from now on. Returns recovery codes where the user has none.

    Raises Invalid `wrong_code`, Conflict without a secret to confirm.
    """

    def add() -> None:
        app = AuthenticatorApp.objects.select_for_update().filter(user=user, confirmed_at=None).first()
        if app is None:
            raise Conflict("authenticator_unasked")
        step = _step(app, re.sub(r"\s", "", code))
        if step is None:
            raise Invalid("wrong_code", fields=[FieldError("code", "wrong_code")])
        app.confirmed_at, app.last_step = now(), step
        app.save(update_fields=["confirmed_at", "last_step"])

    _change(actor, user, "authenticator app added", add)
    return _first_codes(user)


def add_passkey(*, actor: Actor, user: User, data: NewPasskey, session: SessionBase) -> list[str]:
    """Add a passkey. Returns recovery codes where the user has none. Raises Invalid, Conflict."""
    _change(
        actor, user, "passkey added", lambda: passkeys.add_passkey(user=user, data=data, session=session), data.label
    )
    return _first_codes(user)


def remove_passkey(*, actor: Actor, user: User, passkey_id: UUID) -> None:
    """Remove a passkey. Raises NotFound."""
    _change(actor, user, "passkey removed", lambda: passkeys.remove_passkey(user=user, passkey_id=passkey_id))
    _drop_codes_of_no_factor(user)


def remove_authenticator(*, actor: Actor, user: User) -> None:
    """Remove the authenticator app."""
    _change(actor, user, "authenticator app removed", lambda: AuthenticatorApp.objects.filter(user=user).delete())
    _drop_codes_of_no_factor(user)


def new_recovery_codes(*, actor: Actor, user: User) -> list[str]:
    """Ten new recovery codes in place of the others. Raises Conflict `no_second_factor`."""
    if not _has_factor(user):
        raise Conflict("no_second_factor")
    return _change(actor, user, "recovery codes made", lambda: _make_codes(user))


def _change(actor: Actor, user: User, event: str, work: Callable[[], Result], label: str = "") -> Result:
    """Change the factors of a user: it is recorded, and every other session ends."""
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        result = work()
        user.refresh_from_db(fields=["session_epoch"])
        user.session_epoch += 1
        user.save(update_fields=["session_epoch"])
        if actor.member_id is not None:
            record(actor, event, ("member", actor.member_id), **({"label": label} if label else {}))
    return result


def _has_factor(user: User) -> bool:
    return _app_of(user) is not None or Passkey.objects.filter(user=user).exists()


def _app_of(user: User) -> AuthenticatorApp | None:
    return AuthenticatorApp.objects.filter(user=user).exclude(confirmed_at=None).first()


def _step(app: AuthenticatorApp, code: str) -> int | None:
    secret = opened(app.secret, use=USE)
    if secret is None:
        return None
    padded = secret + "=" * (-len(secret) % 8)
    return matching_step(base64.b32decode(padded), code, now(), after=app.last_step)


def _use_code(user: User, code: str) -> bool:
    """Use a code up: of the app, by its time step, or a recovery code."""
    app = _app_of(user)
    step = _step(app, code) if app is not None else None
    if app is not None and step is not None:
        app.last_step = step
        app.save(update_fields=["last_step"])
        return True
    unused = RecoveryCode.objects.filter(user=user, digest=_digest(code), used_at=None)
    return bool(unused.update(used_at=now()))


def _first_codes(user: User) -> list[str]:
    return [] if RecoveryCode.objects.filter(user=user).exists() else _make_codes(user)


def _make_codes(user: User) -> list[str]:
    codes = ["".join(secrets.choice(ALPHABET) for _ in range(16)) for _ in range(RECOVERY_CODES)]
    RecoveryCode.objects.filter(user=user).delete()
    RecoveryCode.objects.bulk_create([RecoveryCode(user=user, digest=_digest(code)) for code in codes])
    return ["-".join((code[:4], code[4:8], code[8:12], code[12:])) for code in codes]


def _drop_codes_of_no_factor(user: User) -> None:
    if not _has_factor(user):
        RecoveryCode.objects.filter(user=user).delete()


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
