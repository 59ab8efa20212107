"""What customers read of billing, in each language; what a quote says too (lines, sums, tax) is its own text."""

from collections.abc import Mapping

from shopapi.billing.rules.texts import en, es
from shopapi.core.languages import Language, Texts
from shopapi.quotes.rules import left_safety_texts
from shopapi.quotes.rules.texts import TEXTS as QUOTE_TEXTS

_OWN: Mapping[Language, Mapping[str, str]] = {"en": en.PAPER, "es": es.PAPER}
TEXTS: Mapping[Language, Texts] = {
    language: Texts(language, {**QUOTE_TEXTS[language].by_key, **left_safety_texts.TEXTS[language].by_key, **own})
    for language, own in _OWN.items()
}
