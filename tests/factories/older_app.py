"""What apps before RFC 8785 sent."""

import hashlib
import json
from typing import Any
from unicodedata import normalize


def older_digest(document: dict[str, Any]) -> str:
    """The digest of a document as those apps made it; for documents whose texts hold no escapes."""
    if "format" in document:
        document = document | {"format": document["format"].removesuffix("-rfc8785")}
    text = json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(normalize("NFC", text).encode()).hexdigest()
