"""Factur-X: PDF/A-3 by a validator, and what Factur-X 1.0 asks of the file, as far as it can be read back."""

import io
from typing import Any

import page
import pypdf
import pytest
from lxml import etree

from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.services.factur_x import attach_invoice
from shopapi.documents.services import render_pdf
from shopapi.documents.services.pdf import print_html
from tests.billing.drawn_einvoices import a_line, an_invoice
from tests.billing.paper_case import paper
from tests.billing.published_rules import faults_of_cii

PAGE = """<html lang="en"><head><title>Invoice</title></head>
<body><h1>Invoice</h1><p><a href="https://ridgeline.example">Pay</a> 12.50 “é”</p></body></html>"""
INVOICE = an_invoice(a_line(1, net="100.00"))


@pytest.fixture(scope="module")
def made() -> bytes:
    pdf, undrawn = print_html(PAGE)
    assert not undrawn
    return attach_invoice(pdf, INVOICE, language="en")


@pytest.fixture(scope="module")
def root(made: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(made)).trailer["/Root"]


def test_it_is_pdf_a_3_by_a_validator(made: bytes) -> None:
    """Outside check: page-validation's PDF/A-3b profile (ISO 19005-3), also on the paper of a whole invoice."""
    pages = render_pdf("billing/invoice.html", {"sheet": paper().sheet}, paper_size="letter", language="en")
    for pdf in (made, attach_invoice(pages, INVOICE, language="en")):
        report = page.validate_pdf_bytes(pdf, profile=page.ValidationProfile.PDF_A_3B)
        assert [(one.rule_id, one.message) for one in report.failures] == []
        assert report.is_compliant
    # The pages by themselves are none, so the validator does look.
    assert not page.validate_pdf_bytes(pages, profile=page.ValidationProfile.PDF_A_3B).is_compliant


def test_the_xml_in_it_is_the_invoice_and_keeps_the_published_rules(root: Any) -> None:
    name, spec = root["/Names"]["/EmbeddedFiles"]["/Names"]
    spec = spec.get_object()
    assert (name, spec["/UF"], spec["/AFRelationship"]) == ("factur-x.xml", "factur-x.xml", "/Alternative")
    attached = spec["/EF"]["/F"].get_object()
    assert attached["/Subtype"] == "/text/xml"
    assert attached.get_data() == write_cii(INVOICE)
    assert faults_of_cii(attached.get_data()) == []
    # ISO 19005-3, 6.8: the file is associated with the document.
    assert [one.get_object()["/UF"] for one in root["/AF"]] == ["factur-x.xml"]


def test_the_metadata_say_pdf_a_3_and_factur_x(root: Any) -> None:
    metadata = etree.fromstring(root["/Metadata"].get_object().get_data().split(b"?>", 1)[1].rsplit(b"<?", 1)[0])
    found = {
        etree.QName(one).localname: (one.text or "").strip() for one in metadata.iter() if isinstance(one.tag, str)
    }
    assert (found["part"], found["conformance"]) == ("3", "B")
    assert (found["DocumentType"], found["DocumentFileName"]) == ("INVOICE", "factur-x.xml")
    assert found["ConformanceLevel"] == "EN 16931"
    assert "Invoice INV-1001" in etree.tostring(metadata).decode()


def test_its_pages_are_fit_for_an_archive(made: bytes, root: Any) -> None:
    """ISO 19005-3: 6.1.3 an identifier, 6.2.3 an output intent, 6.2.11 fonts embedded, 6.3.2 annotations printed."""
    reader = pypdf.PdfReader(io.BytesIO(made))
    identifiers: Any = reader.trailer["/ID"]
    assert len(identifiers) == 2
    assert "/Encrypt" not in reader.trailer
    (intent,) = root["/OutputIntents"]
    intent = intent.get_object()
    assert intent["/S"] == "/GTS_PDFA1"
    assert intent["/DestOutputProfile"].get_object().get_data()[36:40] == b"acsp"
    pages: list[Any] = list(reader.pages)
    fonts = [font.get_object() for page in pages for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"].get_object())
    links = [one.get_object() for page in reader.pages for one in page.get("/Annots", [])]
    assert [link["/F"] for link in links] == [4]
    assert not {"/JavaScript", "/AA", "/OpenAction"} & set(root)
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
