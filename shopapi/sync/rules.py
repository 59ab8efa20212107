"""The protocol's pure parts: cursors, command envelopes and their outcomes."""

import base64
import json
import math
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import Field

from shopapi.core.errors import Invalid
from shopapi.core.shape import UNSTORABLE, Label, Moment, Row, Shape

MOST_COMMANDS = 100
CHUNK = 50
MIN_BUILD = "0"


class Status(StrEnum):
    APPLIED = "applied"
    HELD = "held"
    REJECTED = "rejected"
    DUPLICATE = "duplicate"


class Envelope(Shape):
    """One command as a phone sends it: identity, order, name and arguments, and what its clocks said."""

    id: UUID
    no: Annotated[int, Field(ge=1, le=2**53 - 1)]
    name: Annotated[str, Field(max_length=40)]
    v: Annotated[int, Field(ge=1, le=1000)] = 1
    args: dict[str, Any]
    wall: Moment
    mono_ms: Annotated[int, Field(ge=0, le=2**53 - 1)] = 0
    session: Label = ""


class Push(Shape):
    device: UUID
    build: Label = ""
    sent_wall: Moment
    commands: Annotated[list[Envelope], Field(max_length=MOST_COMMANDS)]


class OutcomeField(Shape):
    field: str
    code: str
    words: str


class Outcome(Shape):
    """What became of a command. `first`: what was recorded the first time, when this is a repetition."""

    id: UUID
    no: int
    status: Status
    first: Status | None = None
    code: str | None = None
    words: str | None = None
    fields: list[OutcomeField] = []
    seq: int | None = None


class IssueRow(Row):
    """Something for a person to settle: what stands (`theirs`) and what was wanted (`ours`)."""

    kind: Literal["conflict", "held"]
    command_id: UUID | None
    name: str
    entity_kind: str
    entity_id: UUID | None
    theirs: dict[str, Any]
    ours: dict[str, Any]
    words: str
    state: Literal["open", "resolved"]
    choice: str
    member_id: UUID | None


class Choice(Shape):
    """How an issue is settled: keep what stands, or carry out what was wanted."""

    id: UUID
    choice: Literal["theirs", "ours"]


@dataclass(frozen=True)
class Cursor:
    """Where a device stands in one history, as one view of it. `token` is that of the commit `seq` (empty at 0)."""

    epoch: int
    seq: int
    token: str
    view: str

    def __str__(self) -> str:
        return f"{self.epoch}.{self.seq}.{self.token}.{self.view}"


def parse_cursor(text: str) -> Cursor | None:
    """A cursor as given out, or None when it is none of ours.

    >>> parse_cursor("1.7.ab.cd") == Cursor(epoch=1, seq=7, token="ab", view="cd")
    True
    """
    parts = text.split(".")
    if len(parts) != 4 or not all(part.isascii() and part.isdigit() and len(part) < 18 for part in parts[:2]):
        return None
    return Cursor(epoch=int(parts[0]), seq=int(parts[1]), token=parts[2], view=parts[3])


def why_resync(
    cursor: Cursor, *, epoch: int, seq: int, horizon: int, token: str | None, view: str
) -> Literal["fork", "horizon", "view"] | None:
    """Why a device must take a new snapshot, or None when it may go on.

    `token` is that of the commit with the cursor's number in this history (None: there is no such commit).
    """
    if cursor.epoch != epoch or cursor.seq > seq or (cursor.seq and cursor.token != token):
        return "fork"
    if cursor.seq < horizon:
        return "horizon"
    if cursor.view != view:
        return "view"
    return None


def storable(body: Any) -> Any:
    r"""A push with U+FFFD for each character, and null for each number, that cannot be kept.

    One such character in one command would otherwise refuse the whole push, for ever. Raises Invalid when the body
    is nested too deeply.

    >>> storable({"words": "half a pair: \ud83d", "at": [float("inf")]})
    {'words': 'half a pair: �', 'at': [None]}
    """
    try:
        return _storable(body)
    except RecursionError:
        raise Invalid("too_deep", "This is nested too deeply.") from None


def _storable(value: Any) -> Any:
    if isinstance(value, str):
        return UNSTORABLE.sub("\ufffd", value)
    if isinstance(value, dict):
        return {_storable(key): _storable(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_storable(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def digest_of(envelope: Envelope) -> str:
    """What makes two commands the same: number, name and arguments under one id."""
    content = [str(envelope.id), envelope.no, envelope.name, envelope.v, envelope.args]
    return sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def encode_after(kind: str, row_id: UUID) -> str:
    """The place in a snapshot after which the next page begins."""
    return base64.urlsafe_b64encode(f"{kind}:{row_id}".encode()).decode()


def decode_after(text: str) -> tuple[str, UUID] | None:
    """The kind and id of a place in a snapshot, or None when the text is none of ours."""
    try:
        kind, _, row_id = base64.urlsafe_b64decode(text).decode().partition(":")
        return kind, UUID(row_id)
    except ValueError:
        return None
