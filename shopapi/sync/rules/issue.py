"""An issue as devices see it, and the command that settles it."""

from typing import Any, Literal
from uuid import UUID

from shopapi.core.enums import IssueChoice, IssueKind, IssueState
from shopapi.core.schema import Row, Schema


class IssueRow(Row):
    """Something a person must settle: the server's value (`theirs`) and the one that was sent (`ours`).

    `words` is the sentence that the catalogs have under `message`, with the values of `context`; both are empty where
    the sentence was stored before there were codes.
    """

    kind: IssueKind
    command_id: UUID | None
    name: str
    entity_kind: str
    entity_id: UUID | None
    theirs: dict[str, Any]
    ours: dict[str, Any]
    words: str
    message: str = ""
    context: dict[str, int | str] = {}
    state: IssueState
    choice: IssueChoice | Literal[""]
    member_id: UUID | None


class IssueSettlement(Schema):
    """How an issue is settled: keep the server's value, or apply the one that was sent."""

    id: UUID
    choice: IssueChoice
