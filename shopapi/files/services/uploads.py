"""Resumable uploads: begin, add bytes at the right offset, check the digest when complete.

Not commands: bytes are sent online only, apart from the phone's queue.
"""

import hashlib
from datetime import date, datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.db.models import F

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.background import after_commit
from shopapi.core.clock import now, today
from shopapi.core.errors import Conflict, FieldError, Invalid, TooMany
from shopapi.core.feed import lock_shop
from shopapi.core.models import Outbox
from shopapi.core.rows import row_for
from shopapi.files import queries
from shopapi.files.models import Attachment, Upload, UploadDay, UploadPart
from shopapi.files.rules import UPLOAD_EXPIRY_DAYS, AttachmentState

# How long a phone waits before it tries again.
RETRY_AFTER_SECONDS = 300


class WrongOffset(Conflict):
    """The bytes do not start at the end of those received."""

    def __init__(self, expected_offset: int) -> None:
        super().__init__("wrong_offset", context={"offset": expected_offset})


def begin_upload(*, actor: Actor, attachment_id: UUID, length: int) -> Attachment:
    """Begin the upload of an attachment, or resume it.

    Raises NotFound while the attachment does not exist, Invalid when another length was announced, TooMany when the
    shop's daily quota or its limit of open uploads is reached.
    """
    lock_shop(actor.shop_id)
    attachment = row_for(Attachment, actor, attachment_id, field="Upload-Metadata")
    if length != attachment.bytes:
        raise Invalid(
            "length_differs",
            fields=[
                FieldError("Upload-Length", "length_differs", context={"bytes": attachment.bytes, "length": length})
            ],
            context={"bytes": attachment.bytes, "length": length},
        )
    if attachment.state == AttachmentState.WAITING and queries.upload_of(actor, attachment_id) is None:
        _check_quota(actor, length)
        Upload.objects.create(shop_id=actor.shop_id, attachment=attachment, expires_at=_expiry())
    return attachment


def add_bytes(*, actor: Actor, attachment_id: UUID, offset: int, content: bytes) -> int | None:
    """Store the next bytes of an upload; returns the offset after them. The last ones queue the picture's processing.

    Returns None, and drops the upload, when the complete bytes have another SHA-256 than announced.
    Raises NotFound for no attachment, WrongOffset (with the right one), Invalid for too many bytes.
    """
    # The last byte changes a synced row, so the per-shop write lock is taken first, as everywhere.
    lock_shop(actor.shop_id)
    attachment = row_for(Attachment, actor, attachment_id)
    upload = queries.upload_of(actor, attachment_id, lock=True)
    expected_offset = upload_offset(attachment, upload)
    if offset != expected_offset:
        raise WrongOffset(expected_offset)
    if offset + len(content) > attachment.bytes:
        context = {"missing": attachment.bytes - offset}
        fault = FieldError("Upload-Offset", "too_many_bytes", context=context)
        raise Invalid("too_many_bytes", context=context, fields=[fault])
    if upload is None or not content:
        return expected_offset
    UploadPart.objects.create(shop_id=actor.shop_id, upload=upload, offset=offset, content=content)
    _count_bytes(actor, len(content))
    upload.offset += len(content)
    upload.expires_at = _expiry()
    upload.save(update_fields=["offset", "expires_at"])
    if upload.offset < attachment.bytes:
        return upload.offset
    if hashlib.sha256(uploaded_bytes(upload)).hexdigest() != attachment.sha256:
        upload.delete()
        return None
    attachment.state = AttachmentState.RECEIVED
    attachment.save(update_fields=["state"])
    after_commit("files.clean_picture", shop_id=actor.shop_id, attachment_id=attachment_id)
    return attachment.bytes


def upload_offset(attachment: Attachment, upload: Upload | None) -> int:
    """How many bytes have been received: all of them once the upload is complete."""
    if attachment.state != AttachmentState.WAITING:
        return attachment.bytes
    return 0 if upload is None else upload.offset


def uploaded_bytes(upload: Upload) -> bytes:
    """The received bytes of an upload, joined."""
    parts = UploadPart.objects.filter(shop=upload.shop_id, upload=upload).order_by("offset")
    return b"".join(bytes(part) for part in parts.values_list("content", flat=True))


def cancel_upload(*, actor: Actor, attachment_id: UUID) -> None:
    """Delete an incomplete upload; a complete one is being processed and stays."""
    if row_for(Attachment, actor, attachment_id).state != AttachmentState.WAITING:
        return
    Upload.objects.filter(shop=actor.shop_id, attachment=attachment_id).delete()


def drop_stale_uploads(*, actor: Actor) -> int:
    """Delete expired uploads; returns how many. The phone may begin again."""
    stale = queries.open_uploads(actor).filter(expires_at__lt=now())
    count = stale.count()
    stale.delete()
    UploadDay.objects.filter(shop=actor.shop_id, day__lt=_day_of(actor)).delete()
    return count


def requeue_failed_pictures(*, actor: Actor) -> int:
    """Queue the processing of received pictures and voice notes again that failed (disk full, say); returns how many.

    Queues failed deletions of stored pictures again too.
    """
    pending = Outbox.objects.filter(shop_id=actor.shop_id, task="files.forget_pictures", done_at=None)
    pending.exclude(failed_at=None).update(failed_at=None, attempts=0, wake_ups=0, run_after=now())
    left = list(queries.attachments(actor).filter(state=AttachmentState.RECEIVED).values_list("id", flat=True))
    for attachment_id in left:
        after_commit("files.clean_picture", shop_id=actor.shop_id, attachment_id=attachment_id)
    return len(left)


def _check_quota(actor: Actor, length: int) -> None:
    """Raise TooMany when the shop may not begin one more upload of this length now."""
    most = settings.UPLOAD_BYTES_A_DAY
    sent = queries.bytes_uploaded_on(actor, _day_of(actor))
    if sent + length > most:
        raise _retry_later("upload_day_full", field="Upload-Length", most=most // 1_000_000)
    if queries.open_uploads(actor).count() >= settings.OPEN_UPLOADS:
        raise _retry_later("too_many_uploads", field="Upload-Metadata", most=settings.OPEN_UPLOADS)


def _retry_later(code: str, *, field: str, most: int) -> TooMany:
    context = {"most": most}
    return TooMany(
        code, context=context, seconds=RETRY_AFTER_SECONDS, fields=[FieldError(field, code, context=context)]
    )


def _count_bytes(actor: Actor, length: int) -> None:
    day, _ = UploadDay.objects.get_or_create(shop_id=actor.shop_id, day=_day_of(actor))
    UploadDay.objects.filter(id=day.id, shop=actor.shop_id).update(bytes=F("bytes") + length)


def _day_of(actor: Actor) -> date:
    return today(shop_of(actor).zone)


def _expiry() -> datetime:
    return now() + timedelta(days=UPLOAD_EXPIRY_DAYS)
