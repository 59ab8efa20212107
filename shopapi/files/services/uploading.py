"""The bytes of a picture on their way: begun, added to at the right place, checked when whole.

Not commands: bytes come with signal alone, apart from the queue.
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
from shopapi.core.feed import lock_head
from shopapi.core.models import Outbox
from shopapi.files import queries
from shopapi.files.models import Attachment, Upload, UploadDay, UploadPart
from shopapi.files.rules import DAYS_KEPT_UNFINISHED, AttachmentState

# A phone that was told to wait asks again so often.
ASK_AGAIN_SECONDS = 300


class WrongOffset(Conflict):
    """The bytes do not begin where the ones before them end."""

    def __init__(self, stands_at: int) -> None:
        words = f"The next byte awaited is number {stands_at}; ask where the upload stands and go on from there."
        super().__init__("wrong_offset", words, more={"offset": stands_at})


def begin_upload(*, actor: Actor, attachment_id: UUID, length: int) -> Attachment:
    """Make ready to take the bytes of an attachment. Beginning again goes on with what has come already.

    Raises NotFound while the words of the picture are not here, Invalid when another length was announced, TooMany
    when the shop has sent as much as it may today, or has too many begun.
    """
    lock_head(actor.shop_id)
    attachment = queries.attachment_for(actor, attachment_id, field="Upload-Metadata")
    if length != attachment.bytes:
        words = f"This picture was announced with {attachment.bytes} bytes, not {length}."
        raise Invalid("length_differs", words, fields=[FieldError("Upload-Length", "length_differs", words)])
    if attachment.state == AttachmentState.WAITING and queries.upload_of(actor, attachment_id) is None:
        _check_quota(actor, length)
        Upload.objects.create(shop_id=actor.shop_id, attachment=attachment, expires_at=_expiry())
    return attachment


def add_bytes(*, actor: Actor, attachment_id: UUID, offset: int, content: bytes) -> int | None:
    """Keep the next bytes of an upload; returns the offset after them. The last ones set off the making of the picture.

    None when the whole has another SHA-256 than announced: then nothing of it is kept.
    Raises NotFound for no attachment, WrongOffset (with the right one), Invalid for too many bytes.
    """
    # The row of the last byte changes what devices see, so the shop's place in line is taken first, as everywhere.
    lock_head(actor.shop_id)
    attachment = queries.attachment_for(actor, attachment_id)
    upload = queries.upload_of(actor, attachment_id, lock=True)
    stands_at = offset_of(attachment, upload)
    if offset != stands_at:
        raise WrongOffset(stands_at)
    if offset + len(content) > attachment.bytes:
        words = f"Only {attachment.bytes - offset} more bytes belong to this picture."
        raise Invalid("too_many_bytes", words, fields=[FieldError("Upload-Offset", "too_many_bytes", words)])
    if upload is None or not content:
        return stands_at
    UploadPart.objects.create(shop_id=actor.shop_id, upload=upload, offset=offset, content=content)
    _count(actor, len(content))
    upload.offset += len(content)
    upload.expires_at = _expiry()
    upload.save(update_fields=["offset", "expires_at"])
    if upload.offset < attachment.bytes:
        return upload.offset
    if hashlib.sha256(bytes_of(upload)).hexdigest() != attachment.sha256:
        upload.delete()
        return None
    attachment.state = AttachmentState.RECEIVED
    attachment.save(update_fields=["state"])
    after_commit("files.clean_picture", shop_id=actor.shop_id, attachment_id=attachment_id)
    return attachment.bytes


def offset_of(attachment: Attachment, upload: Upload | None) -> int:
    """How many bytes have come: all of them once they were taken."""
    if attachment.state != AttachmentState.WAITING:
        return attachment.bytes
    return 0 if upload is None else upload.offset


def bytes_of(upload: Upload) -> bytes:
    """The bytes of an upload that have come, joined."""
    parts = UploadPart.objects.filter(shop=upload.shop_id, upload=upload).order_by("offset")
    return b"".join(bytes(part) for part in parts.values_list("content", flat=True))


def drop_upload(*, actor: Actor, attachment_id: UUID) -> None:
    """Forget the bytes that have come of an upload not yet whole; one that is whole is a picture being made."""
    if queries.attachment_for(actor, attachment_id).state != AttachmentState.WAITING:
        return
    Upload.objects.filter(shop=actor.shop_id, attachment=attachment_id).delete()


def drop_stale_uploads(*, actor: Actor) -> int:
    """Forget uploads that nobody has gone on with for long; returns how many. The phone may begin again."""
    stale = queries.open_uploads(actor).filter(expires_at__lt=now())
    count = stale.count()
    stale.delete()
    UploadDay.objects.filter(shop=actor.shop_id, day__lt=_day_of(actor)).delete()
    return count


def promise_again(*, actor: Actor) -> int:
    """Have pictures made that were received and given up (a full disk, say); returns how many there are.

    And have those deleted that were taken out while the storage did not answer for long.
    """
    owed = Outbox.objects.filter(shop_id=actor.shop_id, task="files.forget_pictures", done_at=None)
    owed.exclude(given_up_at=None).update(given_up_at=None, attempts=0, run_after=now())
    left = list(queries.attachments(actor).filter(state=AttachmentState.RECEIVED).values_list("id", flat=True))
    for attachment_id in left:
        after_commit("files.clean_picture", shop_id=actor.shop_id, attachment_id=attachment_id)
    return len(left)


def _check_quota(actor: Actor, length: int) -> None:
    """Raise TooMany when the shop may not begin one more upload of this length now."""
    most = settings.UPLOAD_BYTES_A_DAY
    sent = queries.bytes_sent_on(actor, _day_of(actor))
    if sent + length > most:
        words = (
            f"This shop may send {most // 1_000_000} MB of pictures a day, and that is reached. They stay on the phone"
            " and go on tomorrow; whoever runs the server can raise DRAWBAR_UPLOAD_MB_A_DAY."
        )
        raise _put_off("upload_day_full", words, field="Upload-Length")
    if queries.open_uploads(actor).count() >= settings.OPEN_UPLOADS:
        words = (
            f"{settings.OPEN_UPLOADS} pictures of this shop are half sent. This one stays on the phone until others are"
            " through; whoever runs the server can raise DRAWBAR_OPEN_UPLOADS."
        )
        raise _put_off("too_many_uploads", words, field="Upload-Metadata")


def _put_off(code: str, words: str, *, field: str) -> TooMany:
    return TooMany(code, words, seconds=ASK_AGAIN_SECONDS, fields=[FieldError(field, code, words)])


def _count(actor: Actor, length: int) -> None:
    day, _ = UploadDay.objects.get_or_create(shop_id=actor.shop_id, day=_day_of(actor))
    UploadDay.objects.filter(id=day.id, shop=actor.shop_id).update(bytes=F("bytes") + length)


def _day_of(actor: Actor) -> date:
    return today(shop_of(actor).zone)


def _expiry() -> datetime:
    return now() + timedelta(days=DAYS_KEPT_UNFINISHED)
