"""What customers read of quotes, on paper and behind the link, in each language (`core.languages`).

`tests/structure/test_texts.py` holds the languages together and finds unused keys.
"""

from collections.abc import Mapping

from shopapi.core.languages import Language, Texts
from shopapi.quotes.rules.texts import en, es

TEXTS: Mapping[Language, Texts] = {"en": Texts("en", en.TEXTS), "es": Texts("es", es.TEXTS)}
