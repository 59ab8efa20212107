"""The languages in which customers read: their sentences by key, one key per sentence, and the locale of their figures.

A language is a table of the same keys. Members read English; refusals of the API have catalogs of their own
(`core.rendering`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

Language = TypeAliasType("Language", Literal["en", "es"])
ENGLISH: Language = "en"

# Spanish figures of a country that has no form of its own here are those of the United States.
_SPANISH_AS = {"PR": "US"}


@dataclass(frozen=True)
class Texts:
    """The sentences of one language. A template reads one without values as `{{ t.key }}`."""

    language: Language
    by_key: Mapping[str, str]

    def __getitem__(self, key: str) -> str:
        return self.by_key[key]

    def say(self, key: str, **values: object) -> str:
        """The sentence with its values filled in. Braces in values are literal."""
        return self.by_key[key].format_map(values)

    def count(self, key: str, number: int, **values: object) -> str:
        """The sentence of a number of things: `key_one` for one, else `key_other` (CLDR, cardinals of en and es)."""
        return self.say(f"{key}_{'one' if number == 1 else 'other'}", count=number, **values)


def locale_for(locale: str, language: Language) -> str:
    """The locale in which a shop's figures are written for a reader: the shop's own where it has the language.

    Twin: `localeFor` in `pwa/src/domain/words/reader/locale.ts`.

    >>> locale_for("en-US", "es"), locale_for("es-MX", "es"), locale_for("de-DE", "en"), locale_for("en", "es")
    ('es-US', 'es-MX', 'de-DE', 'es-US')
    """
    own, *rest = locale.split("-")
    if language in {ENGLISH, own}:
        return locale
    region = next((part for part in rest if len(part) == 2), "US").upper()
    return f"{language}-{_SPANISH_AS.get(region, region)}"
