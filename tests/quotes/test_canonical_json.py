"""RFC 8785's vectors and ours, as in `pwa/src/domain/canonicalJson.test.ts`."""

import hashlib
import json
import struct
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import rfc8785

from shopapi.quotes.rules import json_digest, json_digest_before_rfc8785

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "canonical_json" / "rfc8785.json").read_text())


@pytest.mark.parametrize("vector", VECTORS["rfc"] + VECTORS["own"])
def test_documents_have_the_form_of_the_vectors(vector: dict[str, str]) -> None:
    wanted = bytes.fromhex(vector["utf8"]) if "utf8" in vector else vector["canonical"].encode()
    document = json.loads(vector["input"])
    assert rfc8785.dumps(document) == wanted
    assert json_digest(document) == hashlib.sha256(wanted).hexdigest()


@pytest.mark.parametrize("vector", VECTORS["numbers"])
def test_numbers_have_the_form_of_appendix_b(vector: dict[str, str | None]) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(vector["ieee754"] or ""))
    if vector["json"] is None:
        with pytest.raises(rfc8785.FloatDomainError):
            json_digest([number])
    else:
        assert rfc8785.dumps(number).decode() == vector["json"]


@pytest.mark.parametrize(
    "document",
    [
        *map(json.loads, VECTORS["refused"]),
        {"a": Decimal(1)},
        {1: 1},
        [date(2026, 11, 29)],
        2**53,
        -(2**53),
    ],
)
def test_what_has_no_canonical_form_is_refused(document: Any) -> None:
    with pytest.raises((rfc8785.CanonicalizationError, UnicodeEncodeError)):
        json_digest(document)


def test_older_apps_hashed_composed_texts() -> None:
    decomposed = {"words": ["Mu\u0308hlbach", {"q\u0323\u0307": "\u212b\u2028"}], "count": 1}
    composed = {"words": ["M\u00fchlbach", {"q\u0323\u0307": "\u00c5\u2028"}], "count": 1}
    assert json_digest_before_rfc8785(decomposed) == json_digest_before_rfc8785(composed) == json_digest(composed)
    assert json_digest(decomposed) != json_digest(composed)
