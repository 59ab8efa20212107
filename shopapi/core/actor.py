"""Who is acting: the first argument of every service and query."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from uuid import UUID

from shopapi.core.errors import Forbidden


@dataclass(frozen=True)
class Actor:
    """One member (or the system, `member_id` None) acting in one shop.

    `command_id` is the id of the command being executed: the phone's, or the Idempotency-Key on REST.
    `settled_by` is the member who released a held command of another; both then need the permission.
    `skew_ms`: how far the device's clock was ahead of the server's when the command was made; `or_skew_ms`: the other
    possible value, None where there is only one.
    `asks_again`: the caller reads the answer at once and settles an edit that clashes itself; otherwise an issue asks.
    `unproved`: a person in a browser who has not given the password or a passkey lately.
    `number`: the number that the row of this command had before the server was restored from a backup, if it had one.
    """

    shop_id: UUID
    member_id: UUID | None
    permissions: frozenset[str]
    device_id: UUID | None = None
    command_id: UUID | None = None
    settled_by: UUID | None = None
    skew_ms: int = field(default=0, compare=False)
    or_skew_ms: int | None = field(default=None, compare=False)
    asks_again: bool = field(default=False, compare=False)
    number: str = field(default="", compare=False)
    view: str = field(default="", compare=False)
    unproved: bool = field(default=False, compare=False)

    def may(self, permission: str) -> bool:
        return permission in self.permissions

    def require(self, permission: str) -> None:
        """Raise Forbidden unless the actor may."""
        if not self.may(permission):
            raise Forbidden("forbidden", message="role_lacks", context={"permission": permission.replace("_", " ")})

    def require_proof(self, message: str = "") -> None:
        """Raise Forbidden `proof_needed` for a person who has to give the password or a passkey again first.

        `message`: the code of its sentence, if not that of the refusal.
        """
        if self.unproved:
            raise Forbidden("proof_needed", message=message)

    def instant_of(self, stamp: datetime) -> datetime:
        """The instant at which the actor's device showed `stamp`. Every timestamp of a phone is corrected here."""
        return stamp.astimezone(UTC) - timedelta(milliseconds=self.skew_ms)
