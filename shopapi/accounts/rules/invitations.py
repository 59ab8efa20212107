"""Invitations: their rows and where one stands."""

from datetime import datetime
from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.accounts.rules.emails import Email
from shopapi.accounts.rules.passwords import NewPassword
from shopapi.accounts.rules.permissions import Role
from shopapi.core.schema import Name, Row, Schema


class NewInvitation(Schema):
    """A person who is asked to join the shop. They set their password themselves, behind a link."""

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
    """The whole address of an invitation: whoever holds it may join as the person who is invited."""

    url: str


class Acceptance(Schema):
    """What joins a person to the shop: a password of their own, or the one that they sign in with already."""

    password: NewPassword


INVITATION_DAYS = 7


InvitationStanding = Literal["open", "accepted", "withdrawn", "expired"]


def standing_of_invitation(
    *, accepted_at: datetime | None, withdrawn_at: datetime | None, expires_at: datetime, at: datetime
) -> InvitationStanding:
    """Where an invitation stands at an instant.

    >>> noon = datetime(2026, 5, 4, 12)
    >>> standing_of_invitation(accepted_at=None, withdrawn_at=None, expires_at=noon, at=noon)
    'expired'
    """
    if accepted_at is not None:
        return "accepted"
    if withdrawn_at is not None:
        return "withdrawn"
    return "open" if at < expires_at else "expired"
