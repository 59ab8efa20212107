"""Passkeys: created, used to sign in or to prove who is there, removed. The signatures are checked by `fido2`.

A challenge is kept in the session until it is answered once, for five minutes.
"""

import secrets
from datetime import datetime
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.db import IntegrityError, transaction
from fido2.cose import CoseKey
from fido2.server import Fido2Server
from fido2.utils import websafe_decode, websafe_encode
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
    UserVerificationRequirement,
)

from shopapi.accounts.models import Passkey, User
from shopapi.accounts.rules.factors import (
    CHALLENGE_LIFE,
    MOST_PASSKEYS,
    NewPasskey,
    PasskeyAssertion,
    PasskeyCreation,
    PasskeyRequest,
)
from shopapi.accounts.services.security_events import record_refused_tries
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Invalid, NotFound

NAME = "Drawbar"
CHALLENGE = "passkey_challenge"
VERIFIED = UserVerificationRequirement.REQUIRED


def creation_options(*, user: User, session: SessionBase) -> PasskeyCreation:
    """What a browser needs to create a passkey of this user."""
    return PasskeyCreation(
        challenge=_new_challenge(session, "create"),
        rp_id=_domain(),
        rp_name=NAME,
        user_id=websafe_encode(user.id.bytes),
        user_name=user.email,
        algorithms=list(CoseKey.supported_algorithms()),
        exclude=_ids_of(user),
    )


def add_passkey(*, user: User, data: NewPasskey, session: SessionBase) -> Passkey:
    """Store a passkey that a browser has created. Raises Invalid `passkey_refused`, Conflict `too_many_passkeys`."""
    response = {
        "id": data.credential_id,
        "rawId": data.credential_id,
        "type": "public-key",
        "response": {"clientDataJSON": data.client_data, "attestationObject": data.attestation},
    }
    state = _take_challenge(session, "create")
    found = _checked(lambda: _server().register_complete(state, response))
    credential = found.credential_data
    if credential is None:
        raise Invalid("passkey_refused")
    if Passkey.objects.filter(user=user).count() >= MOST_PASSKEYS:
        raise Conflict("too_many_passkeys", context={"most": MOST_PASSKEYS})
    try:
        with transaction.atomic():
            return Passkey.objects.create(
                user=user,
                credential_id=bytes(credential.credential_id),
                credential=bytes(credential),
                sign_count=found.counter,
                label=data.label.strip(),
            )
    except IntegrityError:
        raise Conflict("passkey_known") from None


def request_options(*, session: SessionBase, user: User | None = None) -> PasskeyRequest:
    """What a browser needs to sign with a passkey: one of this user, or any of this site."""
    purpose = "prove" if user else "sign in"
    allow = _ids_of(user) if user else []
    return PasskeyRequest(challenge=_new_challenge(session, purpose), rp_id=_domain(), allow=allow)


def user_by_passkey(*, data: PasskeyAssertion, session: SessionBase, user: User | None = None) -> User:
    """The user whose passkey has signed the challenge of this session. Raises Invalid `passkey_refused`.

    The passkey was unlocked on its device by a finger, a face or a PIN, so that it counts as two factors. The audit
    trail has the refusals.
    """
    return record_refused_tries(user, lambda: _user_of_assertion(data, session, user))


def _user_of_assertion(data: PasskeyAssertion, session: SessionBase, user: User | None) -> User:
    state = _take_challenge(session, "prove" if user else "sign in")
    raw_id = _checked(lambda: websafe_decode(data.credential_id))
    passkey = Passkey.objects.select_related("user").filter(credential_id=raw_id).first()
    if passkey is None or not passkey.user.is_active or user not in {None, passkey.user}:
        raise Invalid("passkey_refused")
    response = {
        "id": data.credential_id,
        "rawId": data.credential_id,
        "type": "public-key",
        "response": {
            "clientDataJSON": data.client_data,
            "authenticatorData": data.authenticator_data,
            "signature": data.signature,
            **({} if data.user_handle is None else {"userHandle": data.user_handle}),
        },
    }
    credential = AttestedCredentialData(bytes(passkey.credential))
    _checked(lambda: _server().authenticate_complete(state, [credential], response))
    answer = AuthenticationResponse.from_dict(response).response
    if answer.user_handle is not None and answer.user_handle != passkey.user_id.bytes:
        raise Invalid("passkey_refused")
    counter = answer.authenticator_data.counter
    unused = Passkey.objects.filter(id=passkey.id)
    if counter or passkey.sign_count:
        # One that does not count upwards has been copied (WebAuthn, section 6.1.1).
        unused = unused.filter(sign_count__lt=counter)
    if not unused.update(sign_count=counter, last_used_at=now()):
        raise Invalid("passkey_refused")
    return passkey.user


def remove_passkey(*, user: User, passkey_id: UUID) -> None:
    """Remove a passkey of this user. Raises NotFound."""
    if not Passkey.objects.filter(user=user, id=passkey_id).delete()[0]:
        raise NotFound("passkey", passkey_id)


def _server() -> Fido2Server:
    entity = PublicKeyCredentialRpEntity(name=NAME, id=_domain())
    return Fido2Server(entity, verify_origin=lambda origin: origin == settings.ORIGIN)


def _domain() -> str:
    return urlsplit(settings.ORIGIN).hostname or "localhost"


def _ids_of(user: User) -> list[str]:
    ids = Passkey.objects.filter(user=user).order_by("created_at").values_list("credential_id", flat=True)
    return [websafe_encode(bytes(one)) for one in ids]


def _new_challenge(session: SessionBase, purpose: str) -> str:
    challenge = websafe_encode(secrets.token_bytes(32))
    session[CHALLENGE] = {"for": purpose, "challenge": challenge, "until": (now() + CHALLENGE_LIFE).isoformat()}
    return challenge


def _take_challenge(session: SessionBase, purpose: str) -> dict[str, Any]:
    """The state that `fido2` compares with; a challenge is gone once it was answered, rightly or not."""
    kept = session.pop(CHALLENGE, None)
    if kept is None or kept["for"] != purpose or datetime.fromisoformat(kept["until"]) <= now():
        raise Invalid("passkey_refused")
    return {"challenge": kept["challenge"], "user_verification": VERIFIED}


def _checked(work: Any) -> Any:
    """What `fido2` finds in data from outside; whatever is wrong with them is a refusal."""
    try:
        return work()
    except (ValueError, KeyError, TypeError, IndexError, AttributeError):
        raise Invalid("passkey_refused") from None
