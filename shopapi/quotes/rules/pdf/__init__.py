"""The PDF of a quote: from plain data to the context of the template."""

from shopapi.quotes.rules.pdf.changes import SignedBefore
from shopapi.quotes.rules.pdf.decision import SignatureDrawing, draw_signature
from shopapi.quotes.rules.pdf.facts import (
    ComplaintFacts,
    CustomerFacts,
    DecisionFacts,
    MachineFacts,
    QuoteFacts,
    ShopHead,
    SignatureFacts,
    SiteFacts,
)
from shopapi.quotes.rules.pdf.sheet import QuoteSheet, lay_out

__all__ = [
    "ComplaintFacts",
    "CustomerFacts",
    "DecisionFacts",
    "MachineFacts",
    "QuoteFacts",
    "QuoteSheet",
    "ShopHead",
    "SignatureDrawing",
    "SignatureFacts",
    "SignedBefore",
    "SiteFacts",
    "draw_signature",
    "lay_out",
]
