"""Storage of finished PDFs: a folder per shop, a file per digest."""

import hashlib
import os
from pathlib import Path
from uuid import UUID

from django.conf import settings

from shopapi.core.actor import Actor
from shopapi.core.errors import Unavailable
from shopapi.core.ids import uuid7
from shopapi.documents.models import Document


def keep_document(*, actor: Actor, content: bytes, media_type: str) -> Document:
    """Store a PDF; the same bytes again give the same document. The caller holds the transaction.

    Raises Unavailable `disk_failed` with the reason when they cannot be written.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    path = _path(actor.shop_id, sha256)
    if not path.exists():
        _write_whole(path, content)
    document, _ = Document.objects.get_or_create(
        shop_id=actor.shop_id,
        sha256=sha256,
        defaults={"size": len(content), "media_type": media_type},
    )
    return document


def read_document(*, actor: Actor, document: Document) -> bytes:
    """The bytes of a document of the actor's shop. Raises Unavailable when the file is gone or was changed."""
    try:
        content = _path(actor.shop_id, document.sha256).read_bytes()
    except OSError:
        content = b""
    if hashlib.sha256(content).hexdigest() != document.sha256:
        raise Unavailable("pdf_gone")
    return content


def _path(shop_id: UUID, sha256: str) -> Path:
    return Path(settings.DATA_DIR) / "documents" / str(shop_id) / sha256[:2] / sha256


def _write_whole(path: Path, content: bytes) -> None:
    """Write to a temporary file, sync, rename: a reader never finds half a file."""
    partial = path.with_name(f"{path.name}.{uuid7()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with partial.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        partial.unlink(missing_ok=True)
        raise Unavailable("disk_failed", message="pdf_not_stored", context={"strerror": error.strerror or ""}) from None
