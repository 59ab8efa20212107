"""The outcome of a command: its status, why it is held, and what the phone stores of it."""

import json
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import Reason
from shopapi.core.schema import Label, OptionalText, Schema, to_json


class CommandStatus(TextEnum):
    APPLIED = "applied"
    HELD = "held"
    REJECTED = "rejected"
    DUPLICATE = "duplicate"


class HeldReason(TextEnum):
    """Why a command is held, other than by the refusal of a service. In all but the first, nothing was written.

    NEEDS_REVIEW: applied, but a person must look at it. WAITING: a row it needs, or the command before it, has not
    arrived. NOT_BACK: applied before a restore, and cannot be again until other phones have sent theirs. UNKNOWN,
    INTERNAL: this build cannot run it; a later one tries again. RETIRED: the device was signed off. LEFT_OUT: a person
    decided that it is not applied.
    """

    NEEDS_REVIEW = "needs_review"
    WAITING = "waits_for"
    NOT_BACK = "not_back_yet"
    UNKNOWN = "unknown_command"
    INTERNAL = "internal"
    RETIRED = "device_retired"
    LEFT_OUT = "left_out"


def took_effect(status: str, code: str | None) -> bool:
    """Whether an outcome means that rows were written."""
    return status == CommandStatus.APPLIED or (status == CommandStatus.HELD and code == HeldReason.NEEDS_REVIEW)


class OutcomeField(Schema):
    field: str
    code: str
    words: str
    message: str = ""
    context: dict[str, int | str] = {}


# A phone whose battery was empty may show 1970.
MAX_SKEW_MS = 100 * 366 * 86_400_000
Skew = Annotated[int, Field(ge=-MAX_SKEW_MS, le=MAX_SKEW_MS)]


class EarlierOutcome(Schema):
    """The outcome of a command before the server was restored from a backup, as the phone stored it.

    `after`: the command that changed the same row last before this one. `number`: that of the row it made or changed.
    `skew_ms`, `or_skew_ms`: how far the phone's clock was found to be ahead, which cannot be measured afterwards.
    `seal`: the server's signature (HMAC) on all of that; without a valid one it is ignored.
    """

    status: Literal["applied", "held", "rejected"]
    code: Annotated[str, Field(max_length=60)] | None = None
    words: OptionalText | None = None
    message: Annotated[str, Field(max_length=60)] = ""
    context: Annotated[dict[str, int | str], Field(max_length=20)] = {}
    fields: Annotated[list[OutcomeField], Field(max_length=100)] = []
    after: UUID | None = None
    number: Annotated[str, Field(max_length=20)] | None = None
    skew_ms: Skew | None = None
    or_skew_ms: Skew | None = None
    seal: Label = ""

    @property
    def reason(self) -> Reason | None:
        """Why, as the server said then; apps built before `message` existed stored its sentence alone."""
        if self.message:
            return Reason(self.message, self.context)
        return None if self.words is None else Reason(self.code or "", text=self.words)


class Outcome(Schema):
    """The outcome of a command. `first`: the recorded status, when the command is a duplicate.

    `words` is the sentence that the catalogs have under `message`, with the values of `context`. The phone stores the
    fields after `seq` and sends them back as `earlier` if the server was restored.
    """

    id: UUID
    no: int
    status: CommandStatus
    first: CommandStatus | None = None
    code: str | None = None
    words: str | None = None
    message: str = ""
    context: dict[str, int | str] = {}
    fields: list[OutcomeField] = []
    seq: int | None = None
    after: UUID | None = None
    number: str | None = None
    skew_ms: int | None = None
    or_skew_ms: int | None = None
    seal: str = ""


def seal_content(command_id: UUID, status: str, said: EarlierOutcome | Outcome) -> str:
    """The text that a seal signs: that a server gave this outcome to this command."""
    return json.dumps(
        [str(command_id), status, said.code, to_json(said.after), said.number, said.skew_ms, said.or_skew_ms]
    )
