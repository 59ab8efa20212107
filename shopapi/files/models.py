"""Attachments (pictures and voice notes) and their uploads."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.files.rules import About, AttachmentState, Media


class Attachment(ShopOwned):
    """A picture or voice note of a row, referred to by kind and id: the apps of those rows are higher than this one.

    `sha256` and `bytes` are those of the uploaded file; the stored picture is processed from it.
    """

    about_kind = models.CharField(max_length=20, choices=choices_of(About))
    about_id = models.UUIDField()
    caption = models.TextField(default="", blank=True)
    taken_at = models.DateTimeField()
    sha256 = models.CharField(max_length=64)
    bytes = models.PositiveIntegerField()
    media = models.CharField(max_length=10, default="picture", choices=choices_of(Media))
    seconds = models.PositiveSmallIntegerField(null=True)
    # Not a key: the picture it was drawn on may be removed, or come later.
    drawn_from_id = models.UUIDField(null=True)
    state = models.CharField(max_length=8, default=AttachmentState.WAITING, choices=choices_of(AttachmentState))
    reason = models.TextField(default="", blank=True)
    width = models.PositiveIntegerField(null=True)
    height = models.PositiveIntegerField(null=True)
    added_by = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        # The pictures of one row.
        indexes = (models.Index(fields=["shop", "about_kind", "about_id"], name="attachment_by_subject"),)


class Upload(ShopOwned):
    """The open upload of one attachment and its offset. Deleted once the picture is processed."""

    attachment = ShopForeignKey(Attachment, related_name="uploads")
    offset = models.PositiveIntegerField(default=0)
    expires_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "attachment"], name="one_upload_per_attachment"),)


class UploadDay(ShopOwned):
    """How many bytes a shop has uploaded on a day (in its own time zone), discarded ones included."""

    day = models.DateField()
    bytes = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "day"], name="one_count_of_bytes_per_day"),)


class UploadPart(ShopOwned):
    """Some bytes of an upload, as they came.

    They lie in the database for the minutes until the picture is made: the offset and the bytes commit together,
    and every web process sees them.
    """

    upload = ShopForeignKey(Upload, related_name="parts", on_delete=models.CASCADE)
    offset = models.PositiveIntegerField()
    content = models.BinaryField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "upload", "offset"], name="one_part_per_offset"),)
