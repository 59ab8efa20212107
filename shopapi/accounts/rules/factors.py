"""Second factors and passkeys: schemas and limits. Binary values are base64url without padding, as in WebAuthn."""

from datetime import timedelta
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.schema import Label, Schema, Secret, Text

RECOVERY_CODES = 10


MOST_PASSKEYS = 20


CODES_IN_WINDOW = 5
"""Wrong codes for one person in a window of `TRY_WINDOW`, from wherever."""


CHALLENGE_LIFE = timedelta(minutes=5)


PROOF_LIFE = timedelta(minutes=15)
"""For so long after a sign-in, or after the password or a passkey was given again, dangerous acts ask for neither."""


Bytes64 = Annotated[Text, Field(max_length=8192, pattern=r"^[A-Za-z0-9_-]*$")]
Code = Annotated[Secret, Field(max_length=40, description="From the authenticator app, or a recovery code.")]
Codes = Annotated[list[Secret], Field(description="Recovery codes, shown this once; each signs in once.")]


class PasskeyRow(Schema):
    """A passkey of the person."""

    id: UUID
    label: Annotated[str, Field(description="What the person calls it.")]
    created_at: AwareDatetime
    last_used_at: AwareDatetime | None


class SecondFactors(Schema):
    """What a person signs in with besides the password."""

    email: Annotated[str, Field(description="The address to sign in with.")]
    passkeys: Annotated[list[PasskeyRow], Field(description="Their passkeys, the oldest first.")]
    authenticator: Annotated[bool, Field(description="Whether an authenticator app is set up.")]
    codes_left: Annotated[int, Field(description="How many recovery codes are unused.")]


class PasskeyCreation(Schema):
    """What a browser needs to create a passkey (WebAuthn, section 5.4)."""

    challenge: Annotated[str, Field(description="Random bytes to be signed, once, within five minutes.")]
    rp_id: Annotated[str, Field(description="The domain that the passkey is for.")]
    rp_name: Annotated[str, Field(description="The name of the service.")]
    user_id: Annotated[str, Field(description="The handle of the person.")]
    user_name: Annotated[str, Field(description="The address of the person.")]
    algorithms: Annotated[list[int], Field(description="COSE numbers of signature algorithms, the best first.")]
    exclude: Annotated[list[str], Field(description="Ids of passkeys that the person has.")]


class NewPasskey(Schema):
    """A passkey that a browser has created."""

    label: Label = ""
    credential_id: Annotated[Bytes64, Field(description="The id of the passkey.")]
    client_data: Annotated[Bytes64, Field(description="`clientDataJSON` of the browser's answer.")]
    attestation: Annotated[Bytes64, Field(description="`attestationObject` of the browser's answer.")]


class PasskeyRequest(Schema):
    """What a browser needs to sign with a passkey (WebAuthn, section 5.5)."""

    challenge: Annotated[str, Field(description="Random bytes to be signed, once, within five minutes.")]
    rp_id: Annotated[str, Field(description="The domain that the passkey is for.")]
    allow: Annotated[list[str], Field(description="Ids of the passkeys that count; empty: any of this domain.")]


class PasskeyAssertion(Schema):
    """What a browser answers with a passkey."""

    credential_id: Annotated[Bytes64, Field(description="The id of the passkey.")]
    client_data: Annotated[Bytes64, Field(description="`clientDataJSON` of the browser's answer.")]
    authenticator_data: Annotated[Bytes64, Field(description="`authenticatorData` of the browser's answer.")]
    signature: Annotated[Bytes64, Field(description="`signature` of the browser's answer.")]
    user_handle: Annotated[Bytes64 | None, Field(description="`userHandle` of the browser's answer.")] = None


class PasskeySignIn(PasskeyAssertion):
    """What a browser answers with a passkey, to sign in."""


class Proof(Schema):
    """The password or a passkey again, before something dangerous."""

    password: Annotated[Secret, Field(max_length=128)] | None = None
    passkey: Annotated[PasskeyAssertion | None, Field(description="What a passkey has signed.")] = None


class AuthenticatorSetUp(Schema):
    """What an authenticator app reads; it counts once a code of it is confirmed."""

    secret: Annotated[Secret, Field(description="To be typed into the app, in base 32.")]
    uri: Annotated[Secret, Field(description="The same for a code that the app scans.")]


class AuthenticatorConfirmation(Schema):
    """A code that the app shows."""

    code: Code


class RecoveryCodes(Schema):
    """Recovery codes, empty where the person has some already."""

    codes: Codes
