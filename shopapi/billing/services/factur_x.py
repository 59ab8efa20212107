"""Factur-X: the PDF of an invoice (PDF/A-3) with the same invoice in it as XML.

The stored PDF already has what PDF/A-3 asks of its pages: fonts in it, one colour space stated, no link that is not
printed. Attaching writes the metadata and names the XML as an alternative of the pages.
"""

import logging

from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.rules.einvoice.document import EInvoice

logging.getLogger("factur-x").setLevel(logging.WARNING)


def attach_invoice(pdf: bytes, document: EInvoice, *, language: str) -> bytes:
    """The PDF with the document attached. Its own XSD check runs; the schematron is run by the tests."""
    # Loads lxml and pypdf, for this alone.
    from facturx import generate_from_binary  # noqa: PLC0415

    words = "Credit note" if document.kind == "381" else "Invoice"
    title = f"{words} {document.number}"
    metadata = {
        "author": document.seller.name,
        "title": title,
        "subject": f"{title}, {document.issued_on.isoformat()}",
        "keywords": "Factur-X, EN 16931",
    }
    attached: bytes = generate_from_binary(
        pdf,
        write_cii(document),
        flavor="factur-x",
        level="en16931",
        check_xsd=True,
        check_schematron=False,
        pdf_metadata=metadata,
        lang=language,
        afrelationship="alternative",
        # ISO 19005: the metadata can be read by programs that know nothing of PDF.
        xmp_compression=False,
    )
    return attached
