"""Schemas of attachments, limits on pictures, and headers of the tus protocol. Voice notes: `voice_notes`."""

import base64
import binascii
from collections.abc import Mapping
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Moment, OptionalText, Row, Schema
from shopapi.files.rules.voice_notes import MAX_VOICE_SECONDS, SECONDS_OF_GRACE, VoiceFault

About = TypeAliasType(
    "About",
    Literal[
        "finding", "machine", "job", "stop", "part", "check", "reading", "removal_step", "safety_item", "part_need"
    ],
)
Media = TypeAliasType("Media", Literal["picture", "voice"])
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]

MAX_BYTES = 20 * 1024 * 1024
MAX_CHUNK_BYTES = 1024 * 1024
# A phone's camera makes 12 to 27 million pixels by default; the app sends none above MAX_SIDE. The WebP decoder needs
# three times the memory of the others.
MAX_PIXELS: Mapping[str, int] = {"JPEG": 30_000_000, "PNG": 30_000_000, "HEIF": 30_000_000, "WEBP": 16_000_000}
# A baseline JPEG is decoded at a fraction of its size: one of 50 million pixels costs no more than others do.
MAX_PIXELS_SCALED_DECODING = 52_000_000
# A camera's JPEG has one scan, a progressive one about ten.
MAX_SCANS = 100
MAX_SCANNED_PIXELS = 400_000_000
# Above RATIO_CHECK_PIXELS: a byte of a photograph holds 1 to 60 pixels, a byte of a decompression bomb thousands.
RATIO_CHECK_PIXELS = 12_500_000
MAX_PIXELS_PER_BYTE = 250
MAX_SIDE = 2048
THUMBNAIL_SIDE = 320
UPLOAD_EXPIRY_DAYS = 14


class AttachmentState(TextEnum):
    """waiting: bytes are missing. received: complete, not processed yet. ready, refused: processed."""

    WAITING = "waiting"
    RECEIVED = "received"
    READY = "ready"
    REFUSED = "refused"


class AttachmentFields(Schema):
    """What may be edited of an attachment."""

    caption: OptionalText = ""


class AttachmentRecord(AttachmentFields):
    """A picture that was taken or a voice note, what it is of, and the SHA-256 and size of its bytes, uploaded later.

    The row it is about may not exist yet, so `about_id` is not looked up. `seconds`: how long a voice note is, by the
    phone. `drawn_from_id`: the attachment that a picture with something drawn on it was made of.
    """

    id: UUID
    about_kind: About
    about_id: UUID
    taken_at: Moment
    sha256: Digest
    bytes: Annotated[int, Field(ge=1, le=MAX_BYTES)]
    media: Media = "picture"
    seconds: Annotated[int, Field(ge=0, le=MAX_VOICE_SECONDS + SECONDS_OF_GRACE)] | None = None
    drawn_from_id: UUID | None = None


PictureFault = Literal["no_picture", "damaged", "too_many_scans", "too_many_pixels", "unfolds_too_far"]


class PictureReason(Schema):
    """Why a picture or voice note was refused or is not made yet, with the values that its sentence names."""

    code: PictureFault | VoiceFault | Literal["picture_not_kept"]
    context: dict[str, int | str] = {}


class AttachmentRow(Row):
    """An attachment as devices see it. `width` and `height` are those of the processed picture, in pixels.

    `because`: what `reason` says; None where its words were stored before there were codes. `seconds`: how long a
    voice note is. `drawn_from_id`: the picture that this one was drawn on; it may have been removed.
    """

    about_kind: About
    about_id: UUID
    caption: str
    taken_at: AwareDatetime
    sha256: str
    bytes: int
    media: Media
    seconds: int | None
    drawn_from_id: UUID | None
    state: AttachmentState
    reason: str
    because: PictureReason | None = None
    width: int | None
    height: int | None
    added_by_id: UUID | None


def picture_refusal_code(
    kind: str, width: int, height: int, *, size: int, scans: int = 1, scaled_decoding: bool = False
) -> PictureFault | None:
    """Why a picture is refused before decoding, judged by its header: it would cost too much. None if it is decoded.

    `kind`: a key of `MAX_PIXELS`; `size`: of the file in bytes; `scans`: scans of a JPEG, embedded previews included;
    `scaled_decoding`: it can be decoded at a fraction of its size.
    """
    pixels = width * height
    if pixels > (MAX_PIXELS_SCALED_DECODING if scaled_decoding else MAX_PIXELS[kind]):
        return "too_many_pixels"
    # Each scan costs as much as all pixels and few bytes: a small file could take hours to decode.
    if scans > MAX_SCANS or scans * pixels > MAX_SCANNED_PIXELS:
        return "too_many_scans"
    if not scaled_decoding and pixels > RATIO_CHECK_PIXELS and pixels > size * MAX_PIXELS_PER_BYTE:
        return "unfolds_too_far"
    return None


def fit_within(width: int, height: int, longest: int) -> tuple[int, int]:
    """The size scaled so that its longest side is at most `longest` pixels; never enlarged, never 0.

    >>> fit_within(4000, 3000, 2048), fit_within(300, 200, 2048), fit_within(9000, 2, 320)
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
