"""Invitations: their schemas and their status."""

from datetime import datetime
from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.accounts.rules.emails import Email
from shopapi.accounts.rules.factors import Code
from shopapi.accounts.rules.passwords import NewPassword
from shopapi.accounts.rules.permissions import Role
from shopapi.core.schema import Name, Row, Schema


class NewInvitation(Schema):
    """An invitation to join the shop. The person sets their own password by its link."""

    id: UUID
    name: Name
    email: Email
    role: Role
    may_see_cost: bool = False


class InvitationRow(Row):
    """An invitation as the owner sees it; its secret is not among its columns. Once accepted, `id` is the member's."""

    name: str
    email: str
    role: Role
    may_see_cost: bool
    expires_at: AwareDatetime
    accepted_at: AwareDatetime | None
    withdrawn_at: AwareDatetime | None
    created_by_id: UUID | None


class InvitationAddress(Schema):
    """The full link of an invitation: anyone who has it can join as the invited person."""

    url: str


class Acceptance(Schema):
    """The password of an invited person: a new one, or that of their existing sign-in, with its second factor."""

    password: NewPassword
    code: Code = ""


INVITATION_DAYS = 7


InvitationStatus = Literal["open", "accepted", "withdrawn", "expired"]


def status_of_invitation(
    *, accepted_at: datetime | None, withdrawn_at: datetime | None, expires_at: datetime, at: datetime
) -> InvitationStatus:
    """The status of an invitation at an instant.

    >>> noon = datetime(2026, 5, 4, 12)
    >>> status_of_invitation(accepted_at=None, withdrawn_at=None, expires_at=noon, at=noon)
    'expired'
    """
    if accepted_at is not None:
        return "accepted"
    if withdrawn_at is not None:
        return "withdrawn"
    return "open" if at < expires_at else "expired"
