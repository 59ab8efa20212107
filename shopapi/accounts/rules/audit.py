"""The audit log as the owner sees it."""

from typing import Any
from uuid import UUID

from pydantic import AwareDatetime, ConfigDict

from shopapi.core.schema import Schema


class AuditRow(Schema):
    """Who did what to which row, when."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, from_attributes=True)

    id: UUID
    at: AwareDatetime
    event: str
    member_id: UUID | None
    device_id: UUID | None
    command_id: UUID | None
    subject_kind: str
    subject_id: UUID
    details: dict[str, Any]
