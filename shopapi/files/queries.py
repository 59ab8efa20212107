"""Reads of attachments, of their pictures and of uploads under way."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from botocore.exceptions import BotoCoreError, ClientError  # type: ignore[import-untyped]
from django.core.files.storage import storages
from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, NotFound, Unavailable
from shopapi.files.models import Attachment, Upload, UploadDay
from shopapi.files.rules import AttachmentRow, AttachmentState

# What a disk or a bucket raises when it does not give or take.
STORE_FAILURES = (OSError, BotoCoreError, ClientError)


def attachments(actor: Actor) -> QuerySet[Attachment]:
    return Attachment.objects.filter(shop=actor.shop_id)


def attachments_about(actor: Actor, kind: str, ids: Iterable[UUID]) -> QuerySet[Attachment]:
    """The attachments of some things of one kind, in the order they were taken."""
    return attachments(actor).filter(about_kind=kind, about_id__in=list(ids)).order_by("taken_at", "id")


def attachment_for(actor: Actor, attachment_id: UUID, *, field: str = "id") -> Attachment:
    """An attachment of the shop, locked. Raises NotFound."""
    found = attachments(actor).select_for_update().filter(id=attachment_id).first()
    if found is None:
        raise NotFound("attachment", attachment_id, field=field)
    return found


def show_attachment(actor: Actor, attachment: Attachment) -> AttachmentRow:
    return AttachmentRow.of(attachment)


def upload_of(actor: Actor, attachment_id: UUID, *, lock: bool = False) -> Upload | None:
    """The upload under way of an attachment of the shop, or None."""
    found = Upload.objects.filter(shop=actor.shop_id, attachment=attachment_id)
    return (found.select_for_update() if lock else found).first()


def open_uploads(actor: Actor) -> QuerySet[Upload]:
    """Uploads of the shop that were begun and are not whole."""
    return Upload.objects.filter(shop=actor.shop_id, attachment__state=AttachmentState.WAITING)


def bytes_sent_on(actor: Actor, day: date) -> int:
    """How many bytes of pictures the shop has sent on a day of its own."""
    counted = UploadDay.objects.filter(shop=actor.shop_id, day=day).first()
    return 0 if counted is None else counted.bytes


def picture_key(attachment: Attachment, *, small: bool = False) -> str:
    """Where a clean picture lies in the storage. All of them are JPEG."""
    return f"{attachment.shop_id}/{attachment.id}/{'thumbnail' if small else 'picture'}.jpg"


def read_picture(attachment: Attachment, *, small: bool = False) -> bytes:
    """The clean JPEG of an attachment, or its thumbnail.

    Raises Conflict while there is none, Unavailable when the storage does not give it.
    """
    if attachment.state == AttachmentState.REFUSED:
        raise Conflict("picture_refused", attachment.reason)
    if attachment.state != AttachmentState.READY:
        raise Conflict("no_picture_yet", "This picture has not come yet, or is still being made.")
    try:
        with storages["pictures"].open(picture_key(attachment, small=small)) as file:
            return bytes(file.read())
    except STORE_FAILURES:
        raise Unavailable("picture_gone", "This picture is not where it was kept.") from None
