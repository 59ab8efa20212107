"""PDFs that were made."""

from django.db import models

from shopapi.accounts.models import ShopOwned


class Document(ShopOwned):
    """A finished PDF. Its bytes are in a file named after their SHA-256; equal bytes are stored once per shop."""

    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    media_type = models.CharField(max_length=60)

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "sha256"], name="equal_bytes_are_one_document"),)
