"""Signed-in browsers."""

import string
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import Label, Row, Schema


def letter_of(ordinal: int) -> str:
    """The mark of the n-th device of a shop, counted from 0: A to Z, then AA, AB ...

    >>> [letter_of(n) for n in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    ordinal += 1
    while ordinal:
        ordinal, rest = divmod(ordinal - 1, 26)
        letters = string.ascii_uppercase[rest] + letters
    return letters


class DeviceRow(Row):
    """A signed-in browser. `skew_ms`: how far its clock was ahead of the server's when it last sent."""

    member_id: UUID
    letter: str
    label: str
    build: str
    next_no: int
    skew_ms: int
    revoked_at: AwareDatetime | None


class NewDevice(Schema):
    """A browser that registers itself: its own id, what it calls itself and the build it runs."""

    id: UUID
    label: Label = ""
    build: Label = ""
