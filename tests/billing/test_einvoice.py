"""Invoices by EN 16931: totals against its published examples, both syntaxes against the published rules."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.rules.einvoice.document import EAdjustment, EInvoice, ELine, EPayment, TaxCategory
from shopapi.billing.rules.einvoice.totals import line_net, totals_of
from shopapi.billing.rules.einvoice.ubl import write_ubl
from tests.billing.drawn_einvoices import EXEMPT, LOWER, OUTSIDE, SELLER, STANDARD, a_line, an_invoice, drawn
from tests.billing.published_rules import faults_of_cii, faults_of_ubl

D = Decimal


def _adjust(amount: str, category: TaxCategory = STANDARD, *, charge: bool = False) -> EAdjustment:
    return EAdjustment(D(amount), "Agreed", charge, category)


# Figures of documents of github.com/ConnectingEurope/eInvoicing-EN16931 (commit b6c9e06), ubl/examples.
def test_example_2_of_the_standard() -> None:
    """ubl-tc434-example2: a tie in the tax, two rates, a line outside of both, an allowance, a charge, a payment."""
    zero = TaxCategory("Z")
    found = totals_of(
        an_invoice(
            # The example's lines by category: bases 1460.50, 1.00 and -25.00 before allowance and charge of 100.
            a_line(1, net="1460.50"),
            a_line(2, net="1.00", category=LOWER),
            a_line(3, net="-25.00", category=zero),
            adjustments=(_adjust("100"), _adjust("100", charge=True)),
            paid=D(1000),
        )
    )
    assert (found.lines, found.allowances, found.charges, found.net) == (D("1436.50"), D(100), D(100), D("1436.50"))
    assert [(group.base, group.tax) for group in found.groups] == [
        (D("1460.50"), D("365.13")),
        (D("1.00"), D("0.15")),
        (D("-25.00"), D("0.00")),
    ]
    assert (found.tax, found.gross, found.paid, found.due) == (D("365.28"), D("1801.78"), D(1000), D("801.78"))


def test_ties_go_away_from_zero_also_below_it() -> None:
    """BIS3_Invoice_positive and _negativ: 625743.54 at 25 % is 156435.885."""
    more, less = (totals_of(an_invoice(a_line(1, net=net))) for net in ("625743.54", "-625743.54"))
    assert (more.tax, more.gross) == (D("156435.89"), D("782179.43"))
    assert (less.tax, less.gross) == (D("-156435.89"), D("-782179.43"))


def test_example_1_of_the_standard() -> None:
    """ubl-tc434-example1: two rates."""
    six, other = TaxCategory("S", D(6)), TaxCategory("S", D(21))
    found = totals_of(an_invoice(a_line(1, net="183.23", category=six), a_line(2, net="46.37", category=other)))
    assert [group.tax for group in found.groups] == [D("10.99"), D("9.74")]
    assert (found.lines, found.tax, found.gross) == (D("229.60"), D("20.73"), D("250.33"))


def test_line_arithmetic_as_peppol_writes_it() -> None:
    """github.com/OpenPEPPOL/peppol-bis-invoice-3 (commit 78d7f7d), rules/examples/Allowance-example.xml."""
    first = line_net(D(410), D(10), adjustments=[EAdjustment(D(100), "less")])
    second = line_net(D(200), D(10), D(2))
    third = line_net(D(100), D(10), adjustments=[EAdjustment(D(100), "less")])
    assert (first, second, third) == (D(4000), D(1000), D(900))
    lines = [
        a_line(1, net=str(first)),
        a_line(2, net=str(second), category=EXEMPT),
        a_line(3, net=str(third)),
    ]
    found = totals_of(an_invoice(*lines, adjustments=(_adjust("200"), _adjust("200", charge=True)), paid=D(1000)))
    assert (found.lines, found.net, found.tax, found.gross, found.due) == (D(5900), D(5900), D(1225), D(7125), D(6125))


def _whole() -> EInvoice:
    """Everything that a shop's invoice can hold."""
    blade = EAdjustment(D("2.00"), "Regular customer")
    lines = (
        ELine("1", "Blade", D(2), "H87", D("31.40"), line_net(D("31.40"), D(2), adjustments=[blade]), STANDARD,
              part_number="B-5512", description="42 in", adjustments=(blade,)),
        ELine("2", "Labor", D("1.5"), "HUR", D(85), D("127.50"), EXEMPT),
        ELine("3", "Fetching", D(12), "SMI", D("1.20"), D("14.40"), STANDARD),
    )  # fmt: skip
    return an_invoice(
        *lines,
        adjustments=(_adjust("5.00"), _adjust("3.00", EXEMPT), _adjust("4.00", charge=True)),
        terms="14 days",
        note="Thank you & see you in spring",
        buyer_reference="Ms. Orchard",
        paid=D("20.00"),
    )


CASES = {
    "whole": _whole(),
    "credit_note": replace(_whole(), kind="381", corrects=("INV-0990", date(2026, 11, 3)), paid=D(0)),
    "tie": an_invoice(a_line(1, net="1460.50")),
    "negative_line": an_invoice(a_line(1, net="100.00"), a_line(2, net="-25.00")),
    "untaxed_shop": an_invoice(
        a_line(1, net="80.00", category=OUTSIDE),
        seller=replace(SELLER, vat_id="", tax_number="", legal_id="HRB 1207"),
    ),
    "without_account": an_invoice(a_line(1, net="80.00"), payment=EPayment()),
}


@pytest.mark.parametrize("name", CASES)
def test_both_syntaxes_keep_the_published_rules(name: str) -> None:
    assert faults_of_cii(write_cii(CASES[name])) == []
    assert faults_of_ubl(write_ubl(CASES[name])) == []


@pytest.mark.parametrize("seed", range(40))
def test_drawn_documents_keep_the_published_rules(seed: int) -> None:
    assert faults_of_cii(write_cii(drawn(seed))) == []
    assert faults_of_ubl(write_ubl(drawn(seed))) == []


def test_the_published_rules_do_find_faults() -> None:
    """A wrong total, a missing name and a wrong element are found: the checks above can fail."""
    plain = an_invoice(a_line(1, net="100.00"))
    wrong = write_ubl(plain).replace(b">125.00</cbc:TaxInclusiveAmount>", b">126.00</cbc:TaxInclusiveAmount>")
    assert any("BR-CO-15" in fault for fault in faults_of_ubl(wrong))
    nameless = write_cii(replace(plain, seller=replace(SELLER, name="")))
    assert any("BR-06" in fault for fault in faults_of_cii(nameless))
    misspelt = write_cii(plain).replace(b"ram:BilledQuantity", b"ram:BiledQuantity")
    assert faults_of_cii(misspelt)
