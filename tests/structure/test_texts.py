"""What customers read: each language has every sentence, with the same fields, none unused, none left in English."""

import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from shopapi.billing.rules import texts as billing_texts
from shopapi.core.languages import Language, Texts
from shopapi.core.rendering import catalogs
from shopapi.dispatch.rules import hand_over_texts, ticket_texts
from shopapi.documents.rules import fonts
from shopapi.notices.rules.templates import MESSAGE_TYPES
from shopapi.quotes.rules import texts as quote_texts
from tests.structure.source_tree import ROOT

FIELD = re.compile(r"\{(\w+)\}")
TABLES: Mapping[str, Mapping[Language, Texts]] = {
    "quotes": quote_texts.TEXTS,
    "billing": billing_texts.TEXTS,
    "hand-overs": hand_over_texts.TEXTS,
    "tickets": ticket_texts.TEXTS,
    "characters": fonts.TEXTS,
}
# Words that are the same in both languages.
ALIKE = {"No", "Total", "{name} {number}"}
# Families of keys, of which the source names the beginning.
FAMILY = re.compile(
    r"(rank|kind|how|added|on_top|aside|title|signed|part|state|fuel|made|left|meter|runs|change|kept|urgency|arrival|contact|told|about|errand|condition|device|draft|paid|by|entry|age)_.+|.+_(one|other|next)"
)


@pytest.mark.parametrize("name", TABLES)
def test_every_language_has_every_sentence_with_the_same_fields(name: str) -> None:
    english = TABLES[name]["en"].by_key
    for language, texts in TABLES[name].items():
        assert texts.language == language
        assert texts.by_key.keys() == english.keys()
        differ = [key for key in english if set(FIELD.findall(texts[key])) != set(FIELD.findall(english[key]))]
        assert differ == []
        if language != "en":
            assert {texts[key] for key in english if texts[key] == english[key]} <= ALIKE


def test_no_sentence_is_unused() -> None:
    sources = [path for kind in ("py", "html") for path in (ROOT / "shopapi").rglob(f"*.{kind}")]
    used = "\n".join(path.read_text("utf-8") for path in sources if not _holds_texts(path))
    for name, languages in TABLES.items():
        # The tables' own modules use their keys below the tables.
        unused = [
            key
            for key in languages["en"].by_key
            if not FAMILY.fullmatch(key) and not re.search(rf"""["']{key}["']|\bt\.{key}\b""", used)
        ]
        assert unused == [], name


def _holds_texts(path: Path) -> bool:
    return path.name in {"en.py", "es.py", "hand_over_texts.py", "ticket_texts.py", "left_safety_texts.py"}


def test_the_spanish_of_refusals_is_of_known_codes_with_known_fields() -> None:
    found = catalogs()
    for code, sentence in found["es"].items():
        assert set(FIELD.findall(sentence)) <= set(FIELD.findall(found["en"][code])), code
    # Whatever the page behind a link says of it.
    assert {code for code in found["en"] if re.match("link_(?!asks|used)", code)} <= found["es"].keys()


def test_spanish_says_neither_safe_nor_legal() -> None:
    """No machine is called safe and nothing legal; "sin duda" is no promise that a shop can give."""
    said = [text for languages in TABLES.values() for text in languages["es"].by_key.values()]
    said += [wording.body for one in MESSAGE_TYPES.values() for wording in one.in_spanish.values()]
    assert [
        text for text in said if re.search(r"\b(segur[oa]s?|legal(es|mente)?|garantiza\w*)\b", text, re.IGNORECASE)
    ] == []
    assert any("manual del fabricante" in text for text in said)
