"""The paper of a quote: from plain facts to what the template prints."""

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
    "MachineFacts",
    "QuoteFacts",
    "QuotePaper",
    "ShopHead",
    "SiteFacts",
    "Told",
    "lay_out",
]
