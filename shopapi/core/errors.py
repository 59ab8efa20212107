"""The families of refusal. Each has a stable `code`, plain words, and names the fields at fault.

HTTP statuses are chosen in `core.http` alone: a service knows nothing of them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True)
class FieldError:
    """One field at fault: its path ("lines.2.hours"), a stable code, and words that say the way out."""

    field: str
    code: str
    words: str


class DomainError(Exception):
    """A refusal that a person can understand. Never caught inside a service. `more` are figures that go with it."""

    def __init__(
        self,
        code: str,
        words: str,
        *,
        fields: Sequence[FieldError] = (),
        more: Mapping[str, int | str] | None = None,
    ) -> None:
        super().__init__(words)
        self.code = code
        self.words = words
        self.fields = tuple(fields)
        self.more = dict(more or {})


class NotFound(DomainError):
    """No such row in this shop. A row of another shop is refused in exactly the same words."""

    def __init__(self, kind: str, row_id: UUID | str, *, field: str = "id") -> None:
        words = f"No {kind.replace('_', ' ')} with this id is known here."
        super().__init__("not_found", words, fields=[FieldError(field, "not_found", words)])
        self.kind = kind
        self.row_id = str(row_id)


class Forbidden(DomainError):
    """The member's role does not allow this."""


class Conflict(DomainError):
    """The state of things does not allow this now."""


class Invalid(DomainError):
    """What was sent is not well formed or breaks a rule; the fields say where and how to mend it."""


class TooMany(DomainError):
    """The same was tried too often; after `seconds` it may be tried again."""

    def __init__(self, code: str, words: str, *, seconds: int, fields: Sequence[FieldError] = ()) -> None:
        super().__init__(code, words, fields=fields)
        self.seconds = seconds


class Unavailable(DomainError):
    """Something this needs is down; trying later may help."""
