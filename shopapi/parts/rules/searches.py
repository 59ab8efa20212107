"""Tries to get a part: where was asked, when, by whom, with what answer. Evidence that it cannot be had."""

from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import Label, Moment, Name, RequiredText, Row, Schema


class NeedSearchRecord(Schema):
    """`asked`: who or where, such as a supplier or a breaker. `alternative`: what may be used instead."""

    id: UUID
    need_id: UUID
    asked: Name
    asked_at: Moment
    answer: RequiredText
    alternative: Label = ""


class NeedSearchRow(Row):
    need_id: UUID
    asked: str
    asked_at: AwareDatetime
    answer: str
    alternative: str
    member_id: UUID | None


LONGEST_ANSWER = 2000


def answer_with_alternative(answer: str, alternative: str) -> str:
    """An answer as a safety item keeps it, with what may be used instead.

    Twin: `pwa/src/domain/parts/needs.ts`.

    >>> answer_with_alternative("Not made since 2011.", "switch 22-4 with a new plug")
    'Not made since 2011. (switch 22-4 with a new plug)'
    """
    return f"{answer} ({alternative})"[:LONGEST_ANSWER] if alternative else answer
