"""Processing of uploaded pictures: decode, turn upright, convert to sRGB, scale, encode as JPEG without metadata.

Voice notes are checked by their bytes and kept as they were recorded (`rules.voice_notes`).

Pillow decides what is a picture, never a file name or a declared type. Only pixels are kept: places, times, authors,
comments and appended data are dropped.
"""

import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from uuid import UUID

import pillow_heif
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from PIL import ExifTags, Image, ImageCms, ImageFile

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Reason, Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.files import queries
from shopapi.files.models import Attachment
from shopapi.files.rules import (
    MAX_SIDE,
    THUMBNAIL_SIDE,
    AttachmentState,
    PictureFault,
    fit_within,
    picture_refusal_code,
)
from shopapi.files.rules.voice_notes import VoiceRefused, read_voice_note
from shopapi.files.services.uploads import uploaded_bytes

pillow_heif.register_heif_opener()
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
QUALITY, QUALITY_SMALL = 85, 78
# JPEG marker of a scan. Within a scan every FF is followed by 00 (ITU-T T.81, B.1.1.5).
START_OF_SCAN = b"\xff\xda"
# The transpose that turns a picture upright, by its EXIF Orientation (CIPA DC-008).
TRANSPOSE_BY_ORIENTATION = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


class PictureRefused(Exception):
    """The bytes are not a picture that is accepted; `code` says why (`rules.PictureFault`)."""

    def __init__(self, code: PictureFault) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True)
class ProcessedPicture:
    """A picture and its thumbnail as JPEG; `width` and `height` of the picture in pixels."""

    picture: bytes
    thumbnail: bytes
    width: int
    height: int


def process_image(content: bytes) -> ProcessedPicture:
    """Decode uploaded bytes and encode them as a clean picture and thumbnail. Raises PictureRefused."""
    image = _open_upright(content)
    size = fit_within(image.width, image.height, MAX_SIDE)
    picture = image.resize(size, Image.Resampling.LANCZOS) if size != image.size else image
    small = picture.resize(fit_within(*picture.size, THUMBNAIL_SIDE), Image.Resampling.LANCZOS)
    return ProcessedPicture(
        picture=_jpeg(picture, QUALITY), thumbnail=_jpeg(small, QUALITY_SMALL), width=size[0], height=size[1]
    )


def _open_upright(content: bytes) -> Image.Image:
    try:
        with warnings.catch_warnings():
            # A decompression bomb is an error before it is decoded.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(BytesIO(content), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PictureRefused("too_many_pixels") from None
    except (OSError, ValueError, SyntaxError, RuntimeError):
        raise PictureRefused("no_picture") from None
    # Several JPEGs in one file, as phones make them (CIPA DC-007): the first is the picture.
    kind = "JPEG" if image.format == "MPO" else image.format or ""
    is_jpeg = kind == "JPEG"
    refusal = picture_refusal_code(
        kind,
        image.width,
        image.height,
        size=len(content),
        scans=content.count(START_OF_SCAN) if is_jpeg else 1,
        scaled_decoding=is_jpeg and not image.info.get("progressive"),
    )
    if refusal is not None:
        raise PictureRefused(refusal)
    try:
        # A baseline JPEG of 50 million pixels is decoded at a half or a quarter of its size.
        image.draft("RGB", fit_within(image.width, image.height, MAX_SIDE))
        _load_strictly(image)
        turn = _orientation_transpose(image)
        small = _reduced(image)
        return _flattened(_to_srgb(small if turn is None else small.transpose(turn)))
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError, RuntimeError):
        raise PictureRefused("damaged") from None


def _load_strictly(image: Image.Image) -> None:
    """Decode all of a picture or fail: WeasyPrint, in the same worker, lets Pillow fill up truncated ones with grey."""
    lenient, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        image.load()
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = lenient


def _reduced(image: Image.Image) -> Image.Image:
    """Reduce by a whole factor to about the final size: the following steps cost time and memory per pixel."""
    steps = max(image.size) // MAX_SIDE
    if steps < 2 or image.mode not in {"RGB", "RGBA", "L", "LA"} or "transparency" in image.info:
        return image
    return image.reduce(steps)


def _orientation_transpose(image: Image.Image) -> Image.Transpose | None:
    """The transpose that turns it upright, or None; unreadable EXIF is ignored."""
    try:
        orientation = image.getexif().get(ExifTags.Base.Orientation)
    except (ArithmeticError, AttributeError, LookupError, OSError, SyntaxError, TypeError, ValueError, struct.error):
        return None
    return TRANSPOSE_BY_ORIENTATION.get(orientation) if isinstance(orientation, int) else None


def _to_srgb(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    if not profile or image.mode not in {"RGB", "RGBA"}:
        return image
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        return ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB")) or image
    except (ImageCms.PyCMSError, OSError):
        return image


def _flattened(image: Image.Image) -> Image.Image:
    """The picture on a white background: JPEG has no transparency."""
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        image = image.convert("RGBA")
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        return ground
    return image.convert("RGB")


def _jpeg(image: Image.Image, quality: int) -> bytes:
    # Pillow would write a JPEG comment again, so all metadata is cleared.
    image.info.clear()
    out = BytesIO()
    image.save(out, "JPEG", quality=quality, progressive=True)
    return out.getvalue()


def process_picture(*, actor: Actor, attachment_id: UUID) -> None:
    """Process the picture or voice note of a completely uploaded attachment, or refuse it with a reason.

    The per-shop write lock is taken only at the end, so that no command waits for the processing. Raises Unavailable
    when the storage fails: the task is retried.
    """
    received = queries.attachments(actor).filter(id=attachment_id, state=AttachmentState.RECEIVED).first()
    upload = queries.upload_of(actor, attachment_id)
    if received is None or upload is None:
        return
    found: dict[str, Any] = {}
    state, reason = AttachmentState.READY, ""
    try:
        found = _store_processed(received, uploaded_bytes(upload))
    except (PictureRefused, VoiceRefused) as refusal:
        state, reason = AttachmentState.REFUSED, pack(Reason(refusal.code))
    lock_shop(actor.shop_id)
    attachment = queries.attachments(actor).select_for_update().filter(id=attachment_id).first()
    if attachment is None:
        # Removed meanwhile: its pictures may have been deleted before these were stored.
        delete_pictures(queries.stored_keys(received))
        return
    if attachment.state != AttachmentState.RECEIVED:
        return
    for field, value in {"state": state, "reason": reason, **found}.items():
        setattr(attachment, field, value)
    attachment.save(update_fields=["state", "reason", *found])
    upload.delete()
    about = (attachment.about_kind, attachment.about_id)
    record(actor, f"{attachment.media} {attachment.state}", about, attachment=attachment.id)


def _store_processed(attachment: Attachment, content: bytes) -> dict[str, Any]:
    """Process and store what was uploaded; returns the fields that are known of it then. Raises where it is refused."""
    if attachment.media == "voice":
        seconds = round(read_voice_note(content).seconds)
        _store(queries.voice_key(attachment), content)
        return {"seconds": seconds}
    processed = process_image(content)
    _store_picture(attachment, processed)
    return {"width": processed.width, "height": processed.height}


def _store_picture(attachment: Attachment, processed: ProcessedPicture) -> None:
    for small, content in ((False, processed.picture), (True, processed.thumbnail)):
        _store(queries.picture_key(attachment, small=small), content)


def _store(key: str, content: bytes) -> None:
    try:
        storages["pictures"].save(key, ContentFile(content))
    except queries.STORAGE_ERRORS as error:
        why = getattr(error, "strerror", None) or str(error).rstrip(".")
        raise Unavailable("disk_failed", message="picture_not_kept", context={"why": why}) from None


def delete_pictures(keys: list[str]) -> None:
    """Delete stored pictures; a missing one is not an error."""
    for key in keys:
        storages["pictures"].delete(key)


def note_processing_problem(*, actor: Actor, words: str, attachment_id: UUID) -> None:
    """Set the reason why an attachment's picture is not processed yet."""
    attachment = queries.attachments(actor).select_for_update().filter(id=attachment_id).first()
    if attachment is not None and attachment.state == AttachmentState.RECEIVED and attachment.reason != words:
        attachment.reason = words
        attachment.save(update_fields=["reason"])
