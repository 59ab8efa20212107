"""Shapes of attachments and of their uploads, and what a picture may be."""

import base64
import binascii
from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.shape import Aside, Moment, Row, Shape

About = Literal["finding", "machine", "job", "stop", "part"]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]

MOST_BYTES = 20 * 1024 * 1024
MOST_BYTES_AT_ONCE = 1024 * 1024
MOST_PIXELS = 50_000_000
# A camera's JPEG is built up in one pass over the picture, one for the web in about ten.
MOST_SCANS = 100
LONGEST_SIDE = 2048
LONGEST_SIDE_SMALL = 320
DAYS_KEPT_UNFINISHED = 14


class AttachmentState(StrEnum):
    """waiting: its bytes are not all here. received: they are, and are being made clean. ready, refused: done."""

    WAITING = "waiting"
    RECEIVED = "received"
    READY = "ready"
    REFUSED = "refused"


class AttachmentFields(Shape):
    """What may be edited of an attachment."""

    caption: Aside = ""


class AttachmentRecord(AttachmentFields):
    """A picture that was taken, of what, and the SHA-256 and size of the bytes that will follow.

    The words come first: the bytes are sent apart, later, and nothing waits for them. What it is of may not be
    known here yet, so `about_id` is kept as it comes.
    """

    id: UUID
    about_kind: About
    about_id: UUID
    taken_at: Moment
    sha256: Digest
    bytes: Annotated[int, Field(ge=1, le=MOST_BYTES)]


class AttachmentRow(Row):
    """An attachment as devices see it. `width` and `height` are those of the clean picture, in pixels."""

    about_kind: About
    about_id: UUID
    caption: str
    taken_at: AwareDatetime
    sha256: str
    bytes: int
    state: Literal["waiting", "received", "ready", "refused"]
    reason: str
    width: int | None
    height: int | None
    added_by_id: UUID | None


REFUSALS: Mapping[str, str] = {
    "no_picture": "This is not a picture that can be taken here; send JPEG, PNG, WebP or HEIC.",
    "damaged": "This picture is damaged: it ends too early or holds what no picture holds. Take it again.",
    "too_many_scans": "This picture is built up in more passes than any camera makes; send it as an ordinary JPEG.",
    "too_many_pixels": f"This picture has more than {MOST_PIXELS // 1_000_000} million pixels; send a smaller one.",
}


def scaled(width: int, height: int, longest: int) -> tuple[int, int]:
    """The size with its longest side at most `longest` pixels, in the same shape; never enlarged, never 0.

    >>> scaled(4000, 3000, 2048), scaled(300, 200, 2048), scaled(9000, 2, 320)
    ((2048, 1536), (300, 200), (320, 1))
    """
    most = max(width, height)
    if most <= longest:
        return width, height
    return max(1, round(width * longest / most)), max(1, round(height * longest / most))


def read_metadata(header: str) -> dict[str, str]:
    """The pairs of an `Upload-Metadata` header: keys with base64 values, by commas (tus 1.0.0, "Creation").

    Raises ValueError when it is ill-formed.

    >>> read_metadata("attachment aGVsbG8=,is_confidential")
    {'attachment': 'hello', 'is_confidential': ''}
    """
    pairs: dict[str, str] = {}
    for pair in filter(None, (part.strip() for part in header.split(","))):
        key, _, value = pair.partition(" ")
        if key in pairs:
            raise ValueError("metadata_twice")
        try:
            pairs[key] = base64.b64decode(value, validate=True).decode()
        except (binascii.Error, UnicodeDecodeError):
            raise ValueError("metadata_malformed") from None
    return pairs


def read_checksum(header: str) -> tuple[str, bytes]:
    """The algorithm and digest of an `Upload-Checksum` header (tus 1.0.0, "Checksum"). Raises ValueError.

    >>> read_checksum("sha1 Kq5sNclPz7QV2+lfQIuc6R7oRu0=")[0]
    'sha1'
    """
    algorithm, _, value = header.partition(" ")
    try:
        return algorithm, base64.b64decode(value, validate=True)
    except binascii.Error:
        raise ValueError("checksum_malformed") from None
