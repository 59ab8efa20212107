"""A picture made anew from the bytes that came: only what is seen in it goes on.

Pillow decides what is a picture, never a name or a declared type. What it reads is turned upright, brought to the
colours of screens and written again as JPEG: places, times, owners, comments and whatever else was packed along stay
behind.
"""

import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from uuid import UUID

import pillow_heif
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from PIL import ExifTags, Image, ImageCms, ImageFile

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Unavailable
from shopapi.core.feed import lock_head
from shopapi.files import queries
from shopapi.files.models import Attachment
from shopapi.files.rules import (
    LONGEST_SIDE,
    LONGEST_SIDE_SMALL,
    MOST_PIXELS,
    MOST_SCANS,
    REFUSALS,
    AttachmentState,
    scaled,
)
from shopapi.files.services.uploading import bytes_of

pillow_heif.register_heif_opener()
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
QUALITY, QUALITY_SMALL = 85, 78
# JPEG: where a pass over the picture begins. Within a pass every FF is followed by 00 (ITU-T T.81, B.1.1.5).
START_OF_SCAN = b"\xff\xda"
# What brings a picture upright, by the Orientation its camera noted (CIPA DC-008).
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


class NoPicture(Exception):
    """The bytes are no picture that is taken; `code` says why (`rules.REFUSALS`)."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True)
class Clean:
    """A picture and its thumbnail as JPEG, and the size of the picture in pixels."""

    picture: bytes
    thumbnail: bytes
    width: int
    height: int


def clean(content: bytes) -> Clean:
    """Make a clean picture of bytes that somebody sent. Raises NoPicture."""
    image = _upright(content)
    size = scaled(image.width, image.height, LONGEST_SIDE)
    picture = image.resize(size, Image.Resampling.LANCZOS) if size != image.size else image
    small = picture.resize(scaled(*picture.size, LONGEST_SIDE_SMALL), Image.Resampling.LANCZOS)
    return Clean(picture=_jpeg(picture, QUALITY), thumbnail=_jpeg(small, QUALITY_SMALL), width=size[0], height=size[1])


def _upright(content: bytes) -> Image.Image:
    try:
        with warnings.catch_warnings():
            # A picture that unfolds to more than it should is an error before any of it is unfolded.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(BytesIO(content), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise NoPicture("too_many_pixels") from None
    except (OSError, ValueError, SyntaxError, RuntimeError):
        raise NoPicture("no_picture") from None
    if image.width * image.height > MOST_PIXELS:
        raise NoPicture("too_many_pixels")
    # Each pass costs as much as all its pixels and next to no bytes: a small file could be read for hours.
    if image.format == "JPEG" and content.count(START_OF_SCAN) > MOST_SCANS:
        raise NoPicture("too_many_scans")
    try:
        # A camera's picture of 50 million pixels is read at half or a quarter of its size straight away.
        image.draft("RGB", scaled(image.width, image.height, LONGEST_SIDE))
        _load_whole(image)
        return _flat(_in_screen_colours(_turned(image)))
    except (OSError, ValueError, SyntaxError, EOFError, MemoryError, RuntimeError):
        raise NoPicture("damaged") from None


def _load_whole(image: Image.Image) -> None:
    """Read all of a picture or fail: WeasyPrint, in the same worker, has Pillow fill up what is cut off with grey."""
    lenient, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        image.load()
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = lenient


def _turned(image: Image.Image) -> Image.Image:
    """Upright. Notes of the camera that cannot be read turn nothing: they are thrown away in any case."""
    try:
        orientation = image.getexif().get(ExifTags.Base.Orientation)
    except (ArithmeticError, AttributeError, LookupError, OSError, SyntaxError, TypeError, ValueError, struct.error):
        return image
    turn = TURNS.get(orientation) if isinstance(orientation, int) else None
    return image if turn is None else image.transpose(turn)


def _in_screen_colours(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    if not profile or image.mode not in {"RGB", "RGBA"}:
        return image
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        return ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB")) or image
    except (ImageCms.PyCMSError, OSError):
        return image


def _flat(image: Image.Image) -> Image.Image:
    """On white where it is see-through: JPEG has no holes."""
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        image = image.convert("RGBA")
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        return ground
    return image.convert("RGB")


def _jpeg(image: Image.Image, quality: int) -> bytes:
    # Even a JPEG comment survives a plain saving: nothing of the old picture's notes may be there.
    image.info.clear()
    out = BytesIO()
    image.save(out, "JPEG", quality=quality, progressive=True)
    return out.getvalue()


def clean_attachment(*, actor: Actor, attachment_id: UUID) -> None:
    """Make the picture of an attachment whose bytes are all here, or refuse them and say why.

    The shop's place in line is taken at the end alone: nobody's words wait until a picture is made and stored.
    Raises Unavailable when the storage does not take it: it is tried again later.
    """
    received = queries.attachments(actor).filter(id=attachment_id, state=AttachmentState.RECEIVED).first()
    upload = queries.upload_of(actor, attachment_id)
    if received is None or upload is None:
        return
    made, reason = None, ""
    try:
        made = clean(bytes_of(upload))
    except NoPicture as refusal:
        reason = REFUSALS[refusal.code]
    else:
        _keep(received, made)
    lock_head(actor.shop_id)
    attachment = queries.attachments(actor).select_for_update().filter(id=attachment_id).first()
    if attachment is None:
        # Removed meanwhile, and what was stored then may have been deleted before this was stored.
        forget_pictures([queries.picture_key(received, small=small) for small in (False, True)])
        return
    if attachment.state != AttachmentState.RECEIVED:
        return
    attachment.state = AttachmentState.REFUSED if made is None else AttachmentState.READY
    attachment.reason = reason
    if made is not None:
        attachment.width, attachment.height = made.width, made.height
    attachment.save(update_fields=["state", "reason", "width", "height"])
    upload.delete()
    record(actor, f"picture {attachment.state}", (attachment.about_kind, attachment.about_id), attachment=attachment.id)


def _keep(attachment: Attachment, made: Clean) -> None:
    for small, content in ((False, made.picture), (True, made.thumbnail)):
        try:
            storages["pictures"].save(queries.picture_key(attachment, small=small), ContentFile(content))
        except queries.STORE_FAILURES as error:
            why = getattr(error, "strerror", None) or str(error).rstrip(".")
            raise Unavailable("disk_failed", f"The picture could not be kept: {why}.") from None


def forget_pictures(keys: list[str]) -> None:
    """Delete stored pictures; one that is gone already is no error."""
    for key in keys:
        storages["pictures"].delete(key)


def note_trouble(*, actor: Actor, words: str, attachment_id: UUID) -> None:
    """Say on an attachment why its picture is not made yet."""
    attachment = queries.attachments(actor).select_for_update().filter(id=attachment_id).first()
    if attachment is not None and attachment.state == AttachmentState.RECEIVED and attachment.reason != words:
        attachment.reason = words
        attachment.save(update_fields=["reason"])
