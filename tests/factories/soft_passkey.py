"""A passkey in software, for tests without a browser: it signs as WebAuthn level 2 says (sections 6.1, 6.5, 7.2)."""

import hashlib
import json
import secrets
from typing import Any

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from fido2.cose import ES256
from fido2.utils import websafe_decode, websafe_encode
from fido2.webauthn import (
    AttestationObject,
    AttestedCredentialData,
    AuthenticatorData,
)

PRESENT, VERIFIED, HAS_CREDENTIAL = 0x01, 0x04, 0x40


class SoftPasskey:
    """One key of one person on one site. `counter` is what it signs with next; `flags` can leave a check out."""

    def __init__(self, origin: str = "http://localhost:8000") -> None:
        self.origin = origin
        self.credential_id = secrets.token_bytes(32)
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.counter = 1
        self.flags = PRESENT | VERIFIED
        self.user_handle = ""

    def create(self, options: dict[str, Any], label: str = "Phone") -> dict[str, str]:
        """What a browser sends after it has created this passkey."""
        assert ES256.ALGORITHM in options["algorithms"]
        self.user_handle = options["user_id"]
        point = self.key.public_key().public_numbers()
        # COSE (RFC 9053, section 7.1.1): an elliptic curve key on P-256, for ES256.
        public = ES256({1: 2, 3: -7, -1: 1, -2: point.x.to_bytes(32, "big"), -3: point.y.to_bytes(32, "big")})
        data = AttestedCredentialData.create(bytes(16), self.credential_id, public)
        attested = AttestationObject.create("none", self._data(options["rp_id"], bytes(data)), {})
        self.counter += 1
        return {
            "label": label,
            "credential_id": websafe_encode(self.credential_id),
            "client_data": self._client("webauthn.create", options["challenge"]),
            "attestation": websafe_encode(bytes(attested)),
        }

    def sign(self, options: dict[str, Any]) -> dict[str, str]:
        """What a browser sends after this passkey has signed."""
        data, client = self._data(options["rp_id"]), self._client("webauthn.get", options["challenge"])
        signed = bytes(data) + hashlib.sha256(websafe_decode(client)).digest()
        self.counter += 1
        return {
            "credential_id": websafe_encode(self.credential_id),
            "client_data": client,
            "authenticator_data": websafe_encode(bytes(data)),
            "signature": websafe_encode(self.key.sign(signed, ec.ECDSA(hashes.SHA256()))),
            "user_handle": self.user_handle,
        }

    def _data(self, domain: str, credential: bytes = b"") -> AuthenticatorData:
        flags = AuthenticatorData.FLAG(self.flags | (HAS_CREDENTIAL if credential else 0))
        given = hashlib.sha256(domain.encode()).digest()
        made: AuthenticatorData = AuthenticatorData.create(given, flags, self.counter, credential)
        return made

    def _client(self, kind: str, challenge: str) -> str:
        given = {"type": kind, "challenge": challenge, "origin": self.origin, "crossOrigin": False}
        return websafe_encode(json.dumps(given).encode())
