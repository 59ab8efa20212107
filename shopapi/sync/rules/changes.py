"""The change list for programs: every kind of row, what was removed too, from the beginning and then as it happens.

A program asks without `since`, then with the `next` of each answer, at once while there is `more`, later otherwise. It
gets every change at least once: a row may come again as it was, and the removal of a row that it never got.
"""

import re
from dataclasses import dataclass
from typing import Annotated, Any
from uuid import UUID

from pydantic import Field

from shopapi.core.schema import Schema

READING_ALL, WITHIN = "all", "in"
_PLACE = re.compile(rf"(?P<what>{READING_ALL}|{WITHIN}):(?P<position>[A-Za-z0-9_=-]+):(?P<cursor>.+)")


class Change(Schema):
    """One row as it is now, or that it is gone."""

    kind: Annotated[str, Field(description="What it is: `job`, `invoice`, `customer` …; the singular of its path.")]
    id: Annotated[UUID, Field(description="The id of the row.")]
    deleted: Annotated[bool, Field(description="Whether the row is gone; forget it, also if it never came.")]
    row: Annotated[
        dict[str, Any] | None,
        Field(
            description=(
                "The row as its own path gives it (`GET /api/v1/jobs/{id}` for a `job`), with the fields that this key"
                " may see. Null where `deleted` is true."
            )
        ),
    ]


class ChangesAnswer(Schema):
    """A page of the change list."""

    changes: Annotated[list[Change], Field(description="The changes in the order in which to apply them.")]
    next: Annotated[
        str, Field(description="Where to go on: the `since` of the next request. Store it with what was read.")
    ]
    more: Annotated[
        bool, Field(description="Whether there is more by now: if so ask again at once, otherwise in a while.")
    ]


@dataclass(frozen=True)
class Place:
    """How far a program has read: up to a cursor, and a `position` where it is in the middle of something.

    READING_ALL: in the snapshot, after which the changes go on from the cursor. WITHIN: in the commit of the cursor.
    """

    what: str
    position: str
    cursor: str

    @property
    def reading_all(self) -> bool:
        return self.what == READING_ALL

    def __str__(self) -> str:
        return f"{self.what}:{self.position}:{self.cursor}" if self.position else self.cursor


def parse_place(text: str) -> Place:
    """The place that a text stands for.

    >>> str(parse_place("all:abc:1.7.t.v")), parse_place("1.7.t.v").position
    ('all:abc:1.7.t.v', '')
    """
    found = _PLACE.fullmatch(text)
    return Place(found["what"], found["position"], found["cursor"]) if found else Place("", "", text)
