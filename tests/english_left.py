"""Finds English sentences of ours in what a customer reads in Spanish."""

import re
from html import unescape

from shopapi.dispatch.rules import hand_over_texts, ticket_texts
from shopapi.quotes.rules import texts as quote_texts

FIELD = re.compile(r"\{\w+\}")
TAG = re.compile(r"<[^>]+>")


def english_in(text: str) -> list[str]:
    """The English sentences, of several words, that stand in a text or page, with whatever values."""
    plain = " ".join(unescape(TAG.sub(" ", text)).split())
    found = []
    for table in (quote_texts.TEXTS, hand_over_texts.TEXTS, ticket_texts.TEXTS):
        english, spanish = table["en"].by_key, " ".join(table["es"].by_key.values())
        for sentence in english.values():
            pieces = [piece.strip(" ;:,.()") for piece in FIELD.split(sentence)]
            said = [piece for piece in pieces if " " in piece and piece not in spanish]
            if said and all(re.search(rf"\b{re.escape(piece)}", plain) for piece in said):
                found.append(sentence)
    return found
