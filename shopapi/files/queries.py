"""Reads of attachments, their pictures and open uploads."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from botocore.exceptions import BotoCoreError, ClientError
from django.core.files.storage import storages
from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, NotFound, Unavailable, unpack
from shopapi.core.models import Outbox
from shopapi.files.models import Attachment, Upload, UploadDay
from shopapi.files.rules import AttachmentState

# Errors of a disk or an object storage.
STORAGE_ERRORS = (OSError, BotoCoreError, ClientError)


def attachments(actor: Actor) -> QuerySet[Attachment]:
    return Attachment.objects.filter(shop=actor.shop_id)


def pictures_about(actor: Actor, kind: str, ids: Iterable[UUID]) -> QuerySet[Attachment]:
    """The pictures of some things of one kind, in the order they were taken; voice notes are for the shop alone."""
    found = attachments(actor).filter(about_kind=kind, about_id__in=list(ids), media="picture")
    return found.order_by("taken_at", "id")


def upload_of(actor: Actor, attachment_id: UUID, *, lock: bool = False) -> Upload | None:
    """The open upload of an attachment of the shop, or None."""
    found = Upload.objects.filter(shop=actor.shop_id, attachment=attachment_id)
    return (found.select_for_update() if lock else found).first()


def open_uploads(actor: Actor) -> QuerySet[Upload]:
    """Incomplete uploads of the shop."""
    return Upload.objects.filter(shop=actor.shop_id, attachment__state=AttachmentState.WAITING)


def has_unfinished_files(actor: Actor) -> bool:
    """Whether an upload is open, a file waits to be processed, or stored pictures wait to be deleted."""
    deletions = Outbox.objects.filter(shop_id=actor.shop_id, task="files.forget_pictures", done_at=None)
    received = attachments(actor).filter(state=AttachmentState.RECEIVED)
    return open_uploads(actor).exists() or received.exists() or deletions.exists()


def bytes_uploaded_on(actor: Actor, day: date) -> int:
    """How many bytes the shop has uploaded on a day (in its own time zone)."""
    counted = UploadDay.objects.filter(shop=actor.shop_id, day=day).first()
    return 0 if counted is None else counted.bytes


def picture_key(attachment: Attachment, *, small: bool = False) -> str:
    """The key of a processed picture in the storage. All of them are JPEG."""
    return f"{attachment.shop_id}/{attachment.id}/{'thumbnail' if small else 'picture'}.jpg"


def voice_key(attachment: Attachment) -> str:
    """The key of a stored voice note, kept as it was recorded."""
    return f"{attachment.shop_id}/{attachment.id}/voice"


def stored_keys(attachment: Attachment) -> list[str]:
    """The keys of everything that is stored of an attachment once it is processed."""
    if attachment.media == "voice":
        return [voice_key(attachment)]
    return [picture_key(attachment, small=small) for small in (False, True)]


def read_picture(attachment: Attachment, *, small: bool = False) -> bytes:
    """The processed JPEG of an attachment, or its thumbnail.

    Raises Conflict while there is none, Unavailable when the storage fails, NotFound for a voice note.
    """
    if attachment.media != "picture":
        raise NotFound("attachments", attachment.id)
    return _read_stored(attachment, picture_key(attachment, small=small))


def read_voice(attachment: Attachment) -> bytes:
    """The bytes of a voice note. Raises as `read_picture`."""
    if attachment.media != "voice":
        raise NotFound("attachments", attachment.id)
    return _read_stored(attachment, voice_key(attachment))


def _read_stored(attachment: Attachment, key: str) -> bytes:
    if attachment.state == AttachmentState.REFUSED:
        raise Conflict("picture_refused", reason=unpack(attachment.reason))
    if attachment.state != AttachmentState.READY:
        raise Conflict("no_picture_yet")
    try:
        with storages["pictures"].open(key) as file:
            return bytes(file.read())
    except STORAGE_ERRORS:
        raise Unavailable("picture_gone") from None
