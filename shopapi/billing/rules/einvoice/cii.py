"""An EN 16931 invoice as Cross Industry Invoice (UN/CEFACT D16B), the syntax that Factur-X puts into a PDF.

The order of the elements is that of the schema.
"""

from datetime import date
from decimal import Decimal
from xml.etree.ElementTree import Element

from shopapi.billing.rules.einvoice.document import EAdjustment, EInvoice, ELine, EParty, TaxCategory
from shopapi.billing.rules.einvoice.totals import ETotals, TaxGroup, totals_of
from shopapi.billing.rules.einvoice.tree import amount, branch, compact_day, leaf, number, root

GUIDELINE = "urn:cen.eu:en16931:2017"
_PREFIXES = {
    "rsm": "urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100",
    "ram": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100",
    "udt": "urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100",
    "qdt": "urn:un:unece:uncefact:data:standard:QualifiedDataType:100",
}


def write_cii(document: EInvoice) -> bytes:
    """The document as CII."""
    totals = totals_of(document)
    return root(
        "rsm:CrossIndustryInvoice",
        _PREFIXES,
        branch(
            "rsm:ExchangedDocumentContext",
            branch("ram:GuidelineSpecifiedDocumentContextParameter", leaf("ram:ID", GUIDELINE)),
        ),
        branch(
            "rsm:ExchangedDocument",
            leaf("ram:ID", document.number),
            leaf("ram:TypeCode", document.kind),
            branch("ram:IssueDateTime", _day(document.issued_on)),
            branch("ram:IncludedNote", leaf("ram:Content", document.note)),
        ),
        branch(
            "rsm:SupplyChainTradeTransaction",
            *(_line(line, document.digits) for line in document.lines),
            branch(
                "ram:ApplicableHeaderTradeAgreement",
                leaf("ram:BuyerReference", document.buyer_reference),
                _party("ram:SellerTradeParty", document.seller),
                _party("ram:BuyerTradeParty", document.buyer),
            ),
            _delivery(document),
            _settlement(document, totals),
        ),
    )


def _day(day: date, tag: str = "udt:DateTimeString") -> Element | None:
    return leaf(tag, compact_day(day), format="102")


def _line(line: ELine, digits: int) -> Element | None:
    return branch(
        "ram:IncludedSupplyChainTradeLineItem",
        branch("ram:AssociatedDocumentLineDocument", leaf("ram:LineID", line.id)),
        branch(
            "ram:SpecifiedTradeProduct",
            leaf("ram:SellerAssignedID", line.part_number),
            leaf("ram:Name", line.name),
            leaf("ram:Description", line.description),
        ),
        branch(
            "ram:SpecifiedLineTradeAgreement",
            branch(
                "ram:NetPriceProductTradePrice",
                leaf("ram:ChargeAmount", number(line.price)),
                leaf("ram:BasisQuantity", number(line.base_quantity), unitCode=line.unit),
            ),
        ),
        branch("ram:SpecifiedLineTradeDelivery", leaf("ram:BilledQuantity", number(line.quantity), unitCode=line.unit)),
        branch(
            "ram:SpecifiedLineTradeSettlement",
            _tax("ram:ApplicableTradeTax", line.category),
            *(_adjustment(one, digits) for one in line.adjustments),
            branch(
                "ram:SpecifiedTradeSettlementLineMonetarySummation",
                leaf("ram:LineTotalAmount", amount(line.net, digits)),
            ),
        ),
    )


def _percent(percent: Decimal | None) -> Element | None:
    return None if percent is None else leaf("ram:RateApplicablePercent", number(percent))


def _tax(tag: str, category: TaxCategory) -> Element | None:
    return branch(
        tag,
        leaf("ram:TypeCode", "VAT"),
        leaf("ram:CategoryCode", category.code),
        _percent(category.shown_percent),
    )


def _adjustment(one: EAdjustment, digits: int) -> Element | None:
    return branch(
        "ram:SpecifiedTradeAllowanceCharge",
        branch("ram:ChargeIndicator", leaf("udt:Indicator", "true" if one.charge else "false")),
        leaf("ram:ActualAmount", amount(one.amount, digits)),
        leaf("ram:Reason", one.reason),
        None if one.category is None else _tax("ram:CategoryTradeTax", one.category),
    )


def _party(tag: str, party: EParty) -> Element | None:
    return branch(
        tag,
        leaf("ram:Name", party.name),
        branch("ram:SpecifiedLegalOrganization", leaf("ram:ID", party.legal_id)),
        branch(
            "ram:DefinedTradeContact",
            leaf("ram:PersonName", party.contact),
            branch("ram:TelephoneUniversalCommunication", leaf("ram:CompleteNumber", party.phone)),
            branch("ram:EmailURIUniversalCommunication", leaf("ram:URIID", party.email)),
        ),
        branch(
            "ram:PostalTradeAddress",
            leaf("ram:PostcodeCode", party.postcode),
            leaf("ram:LineOne", party.street),
            leaf("ram:LineTwo", party.more_street),
            leaf("ram:CityName", party.city),
            leaf("ram:CountryID", party.country),
            leaf("ram:CountrySubDivisionName", party.region),
        ),
        branch("ram:SpecifiedTaxRegistration", leaf("ram:ID", party.vat_id, schemeID="VA")),
        branch("ram:SpecifiedTaxRegistration", leaf("ram:ID", party.tax_number, schemeID="FC")),
    )


def _delivery(document: EInvoice) -> Element | None:
    return branch(
        "ram:ApplicableHeaderTradeDelivery",
        branch("ram:ActualDeliverySupplyChainEvent", branch("ram:OccurrenceDateTime", _day(document.delivered_on))),
    )


def _settlement(document: EInvoice, totals: ETotals) -> Element | None:
    corrects = document.corrects
    return branch(
        "ram:ApplicableHeaderTradeSettlement",
        leaf("ram:PaymentReference", document.payment.reference),
        leaf("ram:InvoiceCurrencyCode", document.currency),
        _payment(document),
        *(_group(group, document.digits) for group in totals.groups),
        *(_adjustment(one, document.digits) for one in document.adjustments),
        branch(
            "ram:SpecifiedTradePaymentTerms",
            leaf("ram:Description", document.terms),
            None if document.due_on is None else branch("ram:DueDateDateTime", _day(document.due_on)),
        ),
        _summation(document, totals),
        None if corrects is None else _corrected(*corrects),
    )


def _corrected(number_of_invoice: str, issued_on: date) -> Element | None:
    return branch(
        "ram:InvoiceReferencedDocument",
        leaf("ram:IssuerAssignedID", number_of_invoice),
        branch("ram:FormattedIssueDateTime", _day(issued_on, "qdt:DateTimeString")),
    )


def _payment(document: EInvoice) -> Element | None:
    paid = document.payment
    return branch(
        "ram:SpecifiedTradeSettlementPaymentMeans",
        leaf("ram:TypeCode", paid.means),
        branch(
            "ram:PayeePartyCreditorFinancialAccount",
            leaf("ram:IBANID", paid.iban),
            leaf("ram:AccountName", paid.account_name) if paid.iban else None,
        ),
        branch("ram:PayeeSpecifiedCreditorFinancialInstitution", leaf("ram:BICID", paid.bic if paid.iban else "")),
    )


def _group(group: TaxGroup, digits: int) -> Element | None:
    return branch(
        "ram:ApplicableTradeTax",
        leaf("ram:CalculatedAmount", amount(group.tax, digits)),
        leaf("ram:TypeCode", "VAT"),
        leaf("ram:ExemptionReason", group.category.reason),
        leaf("ram:BasisAmount", amount(group.base, digits)),
        leaf("ram:CategoryCode", group.category.code),
        _percent(group.category.shown_percent),
    )


def _summation(document: EInvoice, totals: ETotals) -> Element | None:
    digits = document.digits

    def row(tag: str, exact: Decimal, *, always: bool = False, **attributes: str) -> Element | None:
        return leaf(f"ram:{tag}", amount(exact, digits), **attributes) if exact or always else None

    return branch(
        "ram:SpecifiedTradeSettlementHeaderMonetarySummation",
        row("LineTotalAmount", totals.lines, always=True),
        row("ChargeTotalAmount", totals.charges),
        row("AllowanceTotalAmount", totals.allowances),
        row("TaxBasisTotalAmount", totals.net, always=True),
        row("TaxTotalAmount", totals.tax, always=True, currencyID=document.currency),
        row("RoundingAmount", totals.rounding),
        row("GrandTotalAmount", totals.gross, always=True),
        row("TotalPrepaidAmount", totals.paid),
        row("DuePayableAmount", totals.due, always=True),
    )
