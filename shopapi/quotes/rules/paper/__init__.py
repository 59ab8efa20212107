"""The paper of a quote: from plain facts to what the template prints."""

from shopapi.quotes.rules.paper.decision import InkPicture, draw
from shopapi.quotes.rules.paper.facts import (
    CustomerFacts,
    Decision,
    Ink,
    MachineFacts,
    QuoteFacts,
    ShopHead,
    SiteFacts,
    Told,
)
from shopapi.quotes.rules.paper.sheet import QuotePaper, lay_out

__all__ = [
    "CustomerFacts",
    "Decision",
    "Ink",
    "InkPicture",
    "MachineFacts",
    "QuoteFacts",
    "QuotePaper",
    "ShopHead",
    "SiteFacts",
    "Told",
    "draw",
    "lay_out",
]
