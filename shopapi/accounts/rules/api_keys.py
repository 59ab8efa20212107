"""Keys of other programs: their schemas and what a key may."""

from collections.abc import Collection
from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.accounts.rules.permissions import Permission
from shopapi.core.schema import Moment, Name, Row, Schema, Secret

MOST_API_KEYS = 20

KeyPermissions = Annotated[
    list[Permission], Field(min_length=1, description="What the key may do; at most what its member may.")
]


class NewApiKey(Schema):
    """A key for another program, which acts as the member who makes it, within these permissions."""

    id: UUID
    label: Name
    permissions: KeyPermissions
    expires_at: Annotated[Moment | None, Field(description="When it ends; null: when it is revoked.")] = None


class ApiKeyRow(Row):
    """A key without its value, which is shown once and stored nowhere."""

    member_id: Annotated[UUID, Field(description="The member as whom it acts.")]
    label: Annotated[str, Field(description="What the program is, for people.")]
    permissions: Annotated[
        list[Permission] | None,
        Field(description="What it may do; null: all that its member may (made on the server)."),
    ]
    ready: Annotated[bool, Field(description="Whether its value was made (`api-keys/{id}/value`).")]
    expires_at: Annotated[AwareDatetime | None, Field(description="When it ends by itself.")]
    revoked_at: Annotated[AwareDatetime | None, Field(description="When it was revoked.")]
    last_used_on: Annotated[date | None, Field(description="The day (UTC) on which it was used last.")]


class ApiKeyValue(Schema):
    """The value of a key, shown once: `Authorization: Bearer <key>`."""

    key: Secret


def scope_of(permissions: Collection[str], wanted: Collection[str] | None) -> frozenset[str]:
    """What a key may do now: what it was made for, of what its member may.

    >>> sorted(scope_of({"read", "bill"}, ["read", "edit_shop"]))
    ['read']
    """
    return frozenset(permissions if wanted is None else set(permissions) & set(wanted))
