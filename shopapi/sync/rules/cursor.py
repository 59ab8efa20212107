"""The cursor of a pull, when it calls for a new snapshot, and the position in a paged snapshot."""

import base64
from dataclasses import dataclass
from typing import Literal
from uuid import UUID


@dataclass(frozen=True)
class Cursor:
    """Up to which commit a device has pulled.

    `epoch`: raised when a backup is restored. `seq`: the commit's number per shop, `token` its random token (empty at
    0). `view`: a digest of what the member may see. `within`: the position in that commit up to which its rows were
    pulled, where it did not fit on a page; empty when all of it was.
    """

    epoch: int
    seq: int
    token: str
    view: str
    within: str = ""

    def __str__(self) -> str:
        parts = [str(self.epoch), str(self.seq), self.token, self.view]
        return ".".join([*parts, self.within] if self.within else parts)


def parse_cursor(text: str) -> Cursor | None:
    """The cursor that a text stands for, or None when the text is not a cursor.

    >>> parse_cursor("1.7.ab.cd") == Cursor(epoch=1, seq=7, token="ab", view="cd")
    True
    >>> parse_cursor("1.7.ab.cd.ef") == Cursor(epoch=1, seq=7, token="ab", view="cd", within="ef")
    True
    """
    parts = text.split(".")
    if len(parts) not in {4, 5} or not all(part.isascii() and part.isdigit() and len(part) < 18 for part in parts[:2]):
        return None
    epoch, seq, token, view, *within = parts
    if within == [""]:
        return None
    return Cursor(epoch=int(epoch), seq=int(seq), token=token, view=view, within="".join(within))


def resync_reason(
    cursor: Cursor, *, epoch: int, seq: int, horizon: int, token: str | None, view: str
) -> Literal["fork", "horizon", "view"] | None:
    """Why a device must take a new snapshot, or None when it may go on pulling.

    `epoch`, `seq`, `horizon`, `view` are those of the server now; `token` is that of the commit with the cursor's
    number (None: there is no such commit, or it was deleted because it is below the horizon).
    """
    if cursor.epoch != epoch or cursor.seq > seq:
        return "fork"
    if token is None and cursor.seq < horizon:
        return "horizon"
    if cursor.seq and cursor.token != token:
        return "fork"
    # Tombstones of the commit at the horizon are deleted too: a device that has a part of that commit may miss some.
    if cursor.seq < horizon or (cursor.within and cursor.seq == horizon):
        return "horizon"
    if cursor.view != view:
        return "view"
    return None


@dataclass(frozen=True)
class SnapshotPosition:
    """The row after which the next page of a snapshot begins; `order` is a digest of the order of the kinds."""

    order: str
    kind: str
    row_id: UUID


def encode_position(position: SnapshotPosition) -> str:
    """A position as it is sent to devices."""
    return base64.urlsafe_b64encode(f"{position.order}:{position.kind}:{position.row_id}".encode()).decode()


def decode_position(text: str) -> SnapshotPosition | None:
    """The position that a text stands for, or None when the text is not one. Old builds send none of `order`.

    >>> position = SnapshotPosition("5f1c", "job", UUID(int=7))
    >>> decode_position(encode_position(position)) == position
    True
    """
    try:
        *order, kind, row_id = base64.urlsafe_b64decode(text).decode().split(":")
        return SnapshotPosition(":".join(order), kind, UUID(row_id))
    except ValueError:
        return None
