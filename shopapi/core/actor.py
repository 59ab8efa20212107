"""Who is acting: the first argument of every service and query."""

from dataclasses import dataclass, field
from uuid import UUID

from shopapi.core.errors import Forbidden


@dataclass(frozen=True)
class Actor:
    """One member (or the system, `member_id` None) acting in one shop.

    `command_id` is the id of the command being carried out: the phone's, or the Idempotency-Key on REST.
    `skew_ms`: how far the device's clock was ahead of ours when it sent the command.
    """

    shop_id: UUID
    member_id: UUID | None
    permissions: frozenset[str]
    device_id: UUID | None = None
    command_id: UUID | None = None
    skew_ms: int = field(default=0, compare=False)
    view: str = field(default="", compare=False)

    def may(self, permission: str) -> bool:
        return permission in self.permissions

    def require(self, permission: str) -> None:
        """Raise Forbidden unless the actor may."""
        if not self.may(permission):
            raise Forbidden("forbidden", f"Your role does not include “{permission.replace('_', ' ')}”. Ask the owner.")
