"""Labels to print: for the bags that parts and fasteners of a job go into, and tags that warn of a safety device."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Row, Schema

LabelKind = TypeAliasType("LabelKind", Literal["bags", "safety"])
LabelSheetState = TypeAliasType("LabelSheetState", Literal["waiting", "ready", "failed"])

MAX_BAG = 9999
MAX_LABELS = 60


class LabelPrint(Schema):
    """Request a sheet of labels of a job: bags numbered from `first`, or a tag for each safety device.

    `count`: how many bags; without meaning for tags.
    """

    id: UUID
    job_id: UUID
    kind: LabelKind
    first: Annotated[int, Field(ge=1, le=MAX_BAG)] = 1
    count: Annotated[int, Field(ge=1, le=MAX_LABELS)] = 12


class LabelSheetRow(Row):
    """Requested labels: waiting, ready (then the PDF can be read), or failed with a reason."""

    job_id: UUID
    kind: LabelKind
    first: int
    count: int
    state: LabelSheetState
    reason: str


@dataclass(frozen=True)
class BagLabel:
    """The label of one bag. `lines`: what is in it, as it was taken off; without any there is room to write."""

    number: int
    lines: tuple[str, ...]


@dataclass(frozen=True)
class SafetyTag:
    """A tag for a machine with a safety device that does not protect: which, what is lost, what was done meanwhile."""

    device: str
    lost: str
    interim: str


@dataclass(frozen=True)
class LabelPage:
    """Everything that a sheet of labels prints. `svg`: the code that leads to the job's bench."""

    language: str
    title: str
    foot: str
    shop_name: str
    job: str
    machine: str
    day: str
    svg: str
    bags: tuple[BagLabel, ...] = ()
    tags: tuple[SafetyTag, ...] = ()


# More lines than this do not fit on a label; the last one then says how many are left.
MOST_LINES = 4


def bag_labels(first: int, count: int, contents: Iterable[tuple[int, str]]) -> tuple[BagLabel, ...]:
    """The labels of `count` bags from number `first`, with what was put into each (pairs of bag and words).

    >>> bag_labels(2, 2, [(2, "Shroud"), (9, "Belt"), (2, "Air filter cover")])
    (BagLabel(number=2, lines=('Shroud', 'Air filter cover')), BagLabel(number=3, lines=()))
    """
    held: dict[int, list[str]] = {}
    for bag, words in contents:
        held.setdefault(bag, []).append(words)
    numbers = range(first, min(first + count, MAX_BAG + 1))
    return tuple(BagLabel(number, _fitting(held.get(number, []))) for number in numbers)


def _fitting(lines: list[str]) -> tuple[str, ...]:
    if len(lines) <= MOST_LINES:
        return tuple(lines)
    return (*lines[: MOST_LINES - 1], f"and {len(lines) - MOST_LINES + 1} more")


def title_of(kind: str, labels: int, first: int, job: str) -> str:
    """The heading of a sheet.

    >>> title_of("bags", 12, 1, "J-1042"), title_of("bags", 1, 3, "J-1042"), title_of("safety", 2, 1, "J-1042")
    ('Bags 1 to 12 of J-1042', 'Bag 3 of J-1042', 'Safety tags of J-1042')
    """
    if kind == "safety":
        return f"Safety tags of {job}" if labels != 1 else f"Safety tag of {job}"
    return f"Bags {first} to {first + labels - 1} of {job}" if labels != 1 else f"Bag {first} of {job}"
