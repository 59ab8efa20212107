"""Pictures of what was found, and the bytes of them that are still on their way."""

from django.db import models

from shopapi.accounts.models import Member, ShopOwned, WithinShop
from shopapi.files.rules import AttachmentState


class Attachment(ShopOwned):
    """A picture of something, named by kind and id: the apps that own those things stand above this one.

    `sha256` and `bytes` are of what the phone sends; what is kept and shown is made anew from it.
    """

    about_kind = models.CharField(max_length=10)
    about_id = models.UUIDField()
    caption = models.TextField(default="", blank=True)
    taken_at = models.DateTimeField()
    sha256 = models.CharField(max_length=64)
    bytes = models.PositiveIntegerField()
    state = models.CharField(
        max_length=8, default=AttachmentState.WAITING, choices=[(s.value, s.value) for s in AttachmentState]
    )
    reason = models.TextField(default="", blank=True)
    width = models.PositiveIntegerField(null=True)
    height = models.PositiveIntegerField(null=True)
    added_by = WithinShop(Member, related_name="+", null=True)

    class Meta:
        # The pictures of one thing.
        indexes = (models.Index(fields=["shop", "about_kind", "about_id"], name="attachment_by_subject"),)


class Upload(ShopOwned):
    """How far the bytes of one attachment have come. Gone once they were made into a picture."""

    attachment = WithinShop(Attachment, related_name="uploads")
    offset = models.PositiveIntegerField(default=0)
    expires_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "attachment"], name="one_upload_per_attachment"),)


class UploadDay(ShopOwned):
    """How many bytes a shop has sent on a day of its own, whatever became of them."""

    day = models.DateField()
    bytes = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "day"], name="one_count_of_bytes_per_day"),)


class UploadPart(ShopOwned):
    """Some bytes of an upload, as they came.

    They lie in the database for the minutes until the picture is made: the offset and the bytes commit together,
    and every web process sees them.
    """

    upload = WithinShop(Upload, related_name="parts", on_delete=models.CASCADE)
    offset = models.PositiveIntegerField()
    content = models.BinaryField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "upload", "offset"], name="one_part_per_offset"),)
