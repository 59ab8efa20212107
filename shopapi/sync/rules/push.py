"""A push as a phone sends it: command envelopes, their limits and their digest."""

import json
import math
from hashlib import sha256
from typing import Annotated, Any
from uuid import UUID

from pydantic import AfterValidator, Field

from shopapi.core.errors import Invalid
from shopapi.core.schema import UNSTORABLE, Label, Moment, Schema, without_secrets
from shopapi.sync.rules.clocks import Contact
from shopapi.sync.rules.outcomes import EarlierOutcome

MAX_COMMANDS = 100
MAX_CONTACTS = 100
CHUNK_SIZE = 50
"""Commands per transaction."""


class Envelope(Schema):
    """One command as a phone sends it: identity, order, name and arguments, and what its clocks said.

    `earlier` comes with a command that was answered before and is sent again because the server may have lost it.

    No command takes a secret: a field of an unknown or older command that is named like one is removed before logging.
    """

    id: UUID
    no: Annotated[int, Field(ge=1, le=2**53 - 1)]
    name: Annotated[str, Field(max_length=40)]
    v: Annotated[int, Field(ge=1, le=1000)] = 1
    args: Annotated[dict[str, Any], AfterValidator(without_secrets)]
    wall: Moment
    mono_ms: Annotated[int, Field(ge=0, le=2**53 - 1)] = 0
    session: Label = ""
    earlier: EarlierOutcome | None = None


class Push(Schema):
    """Commands of one device, and its exchanges with the server since before the first of them, oldest first."""

    device: UUID
    build: Label = ""
    sent_wall: Moment
    contacts: Annotated[list[Contact], Field(max_length=MAX_CONTACTS)] = []
    commands: Annotated[list[Envelope], Field(max_length=MAX_COMMANDS)]


def replace_unstorable(body: Any) -> Any:
    r"""The body of a push with U+FFFD for each character, and null for each number, that PostgreSQL cannot store.

    Otherwise one such character in one command would make every push of that phone fail for good. Raises Invalid
    `too_deep` when the body is nested too deeply.

    >>> replace_unstorable({"words": "half a pair: \ud83d", "at": [float("inf")]})
    {'words': 'half a pair: �', 'at': [None]}
    """
    try:
        return _storable(body)
    except RecursionError:
        raise Invalid("too_deep") from None


def _storable(value: Any) -> Any:
    if isinstance(value, str):
        return UNSTORABLE.sub("\ufffd", value)
    if isinstance(value, dict):
        return {_storable(key): _storable(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_storable(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def command_digest(envelope: Envelope) -> str:
    """SHA-256 (hex) of what identifies a command: id, number, name, version and arguments."""
    content = [str(envelope.id), envelope.no, envelope.name, envelope.v, envelope.args]
    return sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()
