"""The digest of a JSON document: SHA-256 of its canonical form by RFC 8785 (JSON Canonicalization Scheme, JCS).

Twin: `pwa/src/domain/canonicalJson.ts`; vectors: `fixtures/canonical_json`.
"""

import hashlib
import unicodedata
from typing import Any

import rfc8785


def json_digest(document: Any) -> str:
    """SHA-256 of the canonical form in UTF-8, as 64 lowercase hexadecimal digits.

    Raises ValueError for values without a canonical form: types other than those of JSON, NaN, infinities, integers
    beyond 2**53 - 1, lone surrogates.
    """
    return hashlib.sha256(canonical_json(document)).hexdigest()


def canonical_json(document: Any) -> bytes:
    """The canonical form by RFC 8785, in UTF-8. Raises ValueError as `json_digest` does."""
    return rfc8785.dumps(document)


def json_digest_before_rfc8785(document: Any) -> str:
    """The digest as made by older apps: of the same form, but with every text in Unicode normalization form NFC.

    Used only to verify what was signed with it.
    """
    return json_digest(normalize_texts(document))


def normalize_texts(value: Any) -> Any:
    match value:
        case str():
            return unicodedata.normalize("NFC", value)
        case list() | tuple():
            return [normalize_texts(item) for item in value]
        case dict():
            return {key: normalize_texts(item) for key, item in value.items()}
    return value
