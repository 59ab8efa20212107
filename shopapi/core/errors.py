"""The families of refusal. Each has a stable `code`, names the fields at fault, and carries no sentence.

The sentences are in the catalogs (`messages.py` of each app); `core.rendering` makes them where they are shown.
HTTP statuses are chosen in `core.http.problems` alone: a service knows nothing of them.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, replace
from dataclasses import field as dataclass_field
from typing import Any, Union
from uuid import UUID

# The value of a placeholder: a figure, a name, a code with a catalog entry ("weekday.0"), a phrase, or a list of these.
ContextValue = Union[int, str, "Reason", Sequence[Union[str, "Reason"]]]
# The values of a sentence, by the placeholders of its catalog entry.
Context = Mapping[str, ContextValue]


@dataclass(frozen=True)
class Reason:
    """A reason: the code of a sentence in the catalogs, and the values for its placeholders.

    `text` is a finished sentence, shown unchanged: stored before there were catalogs, or made by another program.
    """

    code: str
    context: Context = dataclass_field(default_factory=dict, hash=False)
    text: str = ""

    def to_json(self) -> dict[str, Any]:
        parts = {"code": self.code, "context": context_to_json(self.context), "text": self.text}
        return {key: value for key, value in parts.items() if value or key == "code"}


def context_to_json(context: Context) -> dict[str, Any]:
    """The values of a sentence as JSON, phrases with their codes."""
    return {name: _plain(value) for name, value in context.items()}


def _plain(value: ContextValue) -> Any:
    if isinstance(value, Reason):
        return value.to_json()
    return value if isinstance(value, int | str) else [_plain(each) for each in value]


def context_from_json(stored: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a sentence as `context_to_json` wrote them."""
    return {name: _read(value) for name, value in stored.items()}


def _read(value: Any) -> Any:
    if isinstance(value, Mapping):
        return Reason(value["code"], context_from_json(value.get("context", {})))
    return [_read(each) for each in value] if isinstance(value, list) else value


def pack(reason: Reason) -> str:
    """A reason as it is stored in a column of text."""
    return json.dumps(reason.to_json(), ensure_ascii=False)


def unpack(stored: str) -> Reason:
    """A reason from a column of text; before there were catalogs the column held the sentence itself."""
    if not stored.startswith('{"code": '):
        return Reason("", text=stored)
    parts = json.loads(stored)
    return Reason(parts["code"], context_from_json(parts.get("context", {})), parts.get("text", ""))


@dataclass(frozen=True)
class FieldError:
    """One field at fault: its path ("lines.2.hours") and a stable code.

    `message` is the code of the sentence where it is not `code` itself: one code, several sentences.
    """

    field: str
    code: str
    _: KW_ONLY
    message: str = ""
    context: Context = dataclass_field(default_factory=dict, hash=False)
    text: str = ""

    @property
    def reason(self) -> Reason:
        return Reason(self.message or self.code, self.context, self.text)

    def to_json(self) -> dict[str, Any]:
        parts = {
            "field": self.field,
            "code": self.code,
            "message": self.message,
            "context": context_to_json(self.context),
            "text": self.text,
        }
        return {key: value for key, value in parts.items() if value or key in {"field", "code"}}

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "FieldError":
        """A field error from `to_json`, as sent, or as stored before there were catalogs."""
        code, message = stored["code"], stored.get("message", "")
        text = "" if message else stored.get("words", stored.get("text", ""))
        own = "" if message == code else message
        context = context_from_json(stored.get("context", {}))
        return cls(stored["field"], code, message=own, context=context, text=text)


class DomainError(Exception):
    """A refusal that a person can understand. Never caught inside a service.

    `message` is the code of the sentence where it is not `code`; an error with the code "invalid" says what its first
    field says. `context` holds what the sentence names and other figures that go with the refusal. `reason` is given
    instead of both where it was made before.
    """

    def __init__(
        self,
        code: str,
        *,
        fields: Sequence[FieldError] = (),
        message: str = "",
        context: Context | None = None,
        reason: Reason | None = None,
    ) -> None:
        self.code = code
        self.fields = tuple(fields)
        if reason is not None:
            self.reason = reason
        elif code == "invalid" and not message and self.fields:
            first = self.fields[0].reason
            self.reason = replace(first, context={**first.context, **(context or {})})
        else:
            self.reason = Reason(message or code, dict(context or {}))
        super().__init__(self.reason.text or f"{self.reason.code} {dict(self.reason.context) or ''}".rstrip())


class NotFound(DomainError):
    """No such row in this shop. A row of another shop is refused in exactly the same way."""

    def __init__(self, kind: str, row_id: UUID | str, *, field: str = "id") -> None:
        context = {"kind": kind.replace("_", " ")}
        super().__init__("not_found", fields=[FieldError(field, "not_found", context=context)], context=context)
        self.kind = kind
        self.row_id = str(row_id)


class Forbidden(DomainError):
    """The member's role does not allow this."""


class Conflict(DomainError):
    """The state of things does not allow this now."""


class Invalid(DomainError):
    """What was sent is not well formed or breaks a rule; the fields say where."""


class BadParameter(Invalid):
    """A parameter of the address is unknown, given twice, ill-formed or out of its bounds; the fields say which."""


@dataclass(frozen=True)
class Clash:
    """One field that two people changed: as the editor saw it, as it is now, as the editor wants it, all as JSON."""

    seen: Any
    theirs: Any
    ours: Any


class EditedTwice(Conflict):
    """Others changed the same fields since the editor read them; nothing was written."""

    def __init__(self, clashes: Mapping[str, Clash]) -> None:
        fields = [FieldError(name, "edited_twice", message="edited_since") for name in clashes]
        super().__init__("edited_twice", message="edited_since", fields=fields)
        self.clashes = clashes


def refuse_faults(faults: Sequence[FieldError], *, message: str = "") -> None:
    """Raise Invalid with these faults, saying `message` or what the first fault says; without faults do nothing."""
    if faults:
        raise Invalid("invalid", message=message, fields=faults)


class TooMany(DomainError):
    """The same was tried too often; after `seconds` it may be tried again."""

    def __init__(
        self,
        code: str,
        *,
        seconds: int,
        fields: Sequence[FieldError] = (),
        message: str = "",
        context: Context | None = None,
    ) -> None:
        super().__init__(code, fields=fields, message=message, context=context)
        self.seconds = seconds


class Unavailable(DomainError):
    """Something this needs is down; trying later may help."""
