"""Check lists and what was found at each item of one.

A list is a template of the shop. A check copies the words of its item, so that a later change of the list leaves what
was recorded as it was. The latest check of an item counts.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Label, Moment, Name, OptionalText, Row, Schema, Text

ItemWords = Annotated[Text, Field(min_length=1, max_length=200)]


class CheckItem(Schema):
    """One item of a list. `critical`: someone can get hurt where it is bad."""

    id: UUID
    words: ItemWords
    critical: bool = False


class CheckListFields(Schema):
    """What may be edited of a list. `machine_kind`: of which machines, empty for all; `purpose`: what it is for."""

    name: Name
    machine_kind: Label = ""
    purpose: Label = ""
    items: Annotated[list[CheckItem], Field(max_length=200)] = []


class NewCheckList(CheckListFields):
    id: UUID


class CheckListRow(Row):
    name: str
    machine_kind: str
    purpose: str
    items: list[CheckItem]


def repeated_item(items: Sequence[CheckItem]) -> int | None:
    """The position of the first item whose id an earlier one has; None where each has its own."""
    seen: Counter[UUID] = Counter()
    for position, item in enumerate(items):
        seen[item.id] += 1
        if seen[item.id] > 1:
            return position
    return None


class ItemResult(TextEnum):
    FINE = "fine"
    WORN = "worn"
    BAD = "bad"
    NOT_LOOKED = "not_looked"


class CheckRecord(Schema):
    """What was found at one item on one job. `finding_id`: the finding that this became."""

    id: UUID
    job_id: UUID
    item_id: UUID
    list_name: Label = ""
    item_words: ItemWords
    critical: bool = False
    result: ItemResult
    words: OptionalText = ""
    finding_id: UUID | None = None
    checked_at: Moment


class CheckRow(Row):
    job_id: UUID
    item_id: UUID
    list_name: str
    item_words: str
    critical: bool
    result: ItemResult
    words: str
    finding_id: UUID | None
    checked_at: AwareDatetime
    checked_by_id: UUID | None
