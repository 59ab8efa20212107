"""An EN 16931 invoice as UBL 2.1 (OASIS): Invoice or CreditNote. The order of the elements is that of the schema."""

from decimal import Decimal
from xml.etree.ElementTree import Element

from shopapi.billing.rules.einvoice.cii import GUIDELINE
from shopapi.billing.rules.einvoice.document import EAdjustment, EInvoice, ELine, EParty, TaxCategory
from shopapi.billing.rules.einvoice.totals import ETotals, totals_of
from shopapi.billing.rules.einvoice.tree import amount, branch, leaf, number, root

_SCHEMAS = "urn:oasis:names:specification:ubl:schema:xsd:"


def write_ubl(document: EInvoice) -> bytes:
    """The document as UBL."""
    credit = document.kind == "381"
    name = "CreditNote" if credit else "Invoice"
    prefixes = {
        "": f"{_SCHEMAS}{name}-2",
        "cac": f"{_SCHEMAS}CommonAggregateComponents-2",
        "cbc": f"{_SCHEMAS}CommonBasicComponents-2",
    }
    totals = totals_of(document)
    return root(
        name,
        prefixes,
        *_head(document, name),
        branch("cac:AccountingSupplierParty", _party(document.seller, is_seller=True)),
        branch("cac:AccountingCustomerParty", _party(document.buyer, is_seller=False)),
        branch("cac:Delivery", leaf("cbc:ActualDeliveryDate", document.delivered_on.isoformat())),
        _payment(document),
        branch("cac:PaymentTerms", leaf("cbc:Note", document.terms)),
        *(_adjustment(one, document) for one in document.adjustments),
        _tax_total(totals, document),
        _monetary_total(totals, document),
        *(_line(line, document, name) for line in document.lines),
    )


def _head(document: EInvoice, name: str) -> list[Element | None]:
    due = None if document.due_on is None or name == "CreditNote" else document.due_on.isoformat()
    corrects = document.corrects
    return [
        leaf("cbc:CustomizationID", GUIDELINE),
        leaf("cbc:ID", document.number),
        leaf("cbc:IssueDate", document.issued_on.isoformat()),
        leaf("cbc:DueDate", due or ""),
        leaf(f"cbc:{name}TypeCode", document.kind),
        leaf("cbc:Note", document.note),
        leaf("cbc:DocumentCurrencyCode", document.currency),
        leaf("cbc:BuyerReference", document.buyer_reference),
        None
        if corrects is None
        else branch(
            "cac:BillingReference",
            branch(
                "cac:InvoiceDocumentReference",
                leaf("cbc:ID", corrects[0]),
                leaf("cbc:IssueDate", corrects[1].isoformat()),
            ),
        ),
    ]


def _party(party: EParty, *, is_seller: bool) -> Element | None:
    tax_number = _tax_scheme(party.tax_number, "TAX") if is_seller else None
    return branch(
        "cac:Party",
        branch(
            "cac:PostalAddress",
            leaf("cbc:StreetName", party.street),
            leaf("cbc:AdditionalStreetName", party.more_street),
            leaf("cbc:CityName", party.city),
            leaf("cbc:PostalZone", party.postcode),
            leaf("cbc:CountrySubentity", party.region),
            branch("cac:Country", leaf("cbc:IdentificationCode", party.country)),
        ),
        _tax_scheme(party.vat_id, "VAT"),
        tax_number,
        branch("cac:PartyLegalEntity", leaf("cbc:RegistrationName", party.name), leaf("cbc:CompanyID", party.legal_id)),
        branch(
            "cac:Contact",
            leaf("cbc:Name", party.contact),
            leaf("cbc:Telephone", party.phone),
            leaf("cbc:ElectronicMail", party.email),
        ),
    )


def _scheme(name: str = "VAT") -> Element | None:
    return branch("cac:TaxScheme", leaf("cbc:ID", name))


def _tax_scheme(company_id: str, name: str) -> Element | None:
    if not company_id:
        return None
    return branch("cac:PartyTaxScheme", leaf("cbc:CompanyID", company_id), _scheme(name))


def _payment(document: EInvoice) -> Element | None:
    paid = document.payment
    account = branch(
        "cac:PayeeFinancialAccount",
        leaf("cbc:ID", paid.iban),
        leaf("cbc:Name", paid.account_name),
        branch("cac:FinancialInstitutionBranch", leaf("cbc:ID", paid.bic)),
    )
    credit_due = document.due_on.isoformat() if document.due_on and document.kind == "381" else ""
    return branch(
        "cac:PaymentMeans",
        leaf("cbc:PaymentMeansCode", paid.means),
        leaf("cbc:PaymentDueDate", credit_due),
        leaf("cbc:PaymentID", paid.reference),
        account if paid.iban else None,
    )


def _category(tag: str, category: TaxCategory, *, with_reason: bool = False) -> Element | None:
    percent = category.shown_percent
    return branch(
        tag,
        leaf("cbc:ID", category.code),
        None if percent is None else leaf("cbc:Percent", number(percent)),
        leaf("cbc:TaxExemptionReason", category.reason) if with_reason else None,
        _scheme(),
    )


def _money(tag: str, exact: Decimal, document: EInvoice) -> Element | None:
    return leaf(f"cbc:{tag}", amount(exact, document.digits), currencyID=document.currency)


def _adjustment(one: EAdjustment, document: EInvoice) -> Element | None:
    return branch(
        "cac:AllowanceCharge",
        leaf("cbc:ChargeIndicator", "true" if one.charge else "false"),
        leaf("cbc:AllowanceChargeReason", one.reason),
        _money("Amount", one.amount, document),
        None if one.category is None else _category("cac:TaxCategory", one.category),
    )


def _tax_total(totals: ETotals, document: EInvoice) -> Element | None:
    return branch(
        "cac:TaxTotal",
        _money("TaxAmount", totals.tax, document),
        *(
            branch(
                "cac:TaxSubtotal",
                _money("TaxableAmount", group.base, document),
                _money("TaxAmount", group.tax, document),
                _category("cac:TaxCategory", group.category, with_reason=True),
            )
            for group in totals.groups
        ),
    )


def _monetary_total(totals: ETotals, document: EInvoice) -> Element | None:
    def row(tag: str, exact: Decimal, *, always: bool = False) -> Element | None:
        return _money(tag, exact, document) if exact or always else None

    return branch(
        "cac:LegalMonetaryTotal",
        row("LineExtensionAmount", totals.lines, always=True),
        row("TaxExclusiveAmount", totals.net, always=True),
        row("TaxInclusiveAmount", totals.gross, always=True),
        row("AllowanceTotalAmount", totals.allowances),
        row("ChargeTotalAmount", totals.charges),
        row("PrepaidAmount", totals.paid),
        row("PayableRoundingAmount", totals.rounding),
        row("PayableAmount", totals.due, always=True),
    )


def _line(line: ELine, document: EInvoice, name: str) -> Element | None:
    quantity = "CreditedQuantity" if name == "CreditNote" else "InvoicedQuantity"
    return branch(
        f"cac:{name}Line",
        leaf("cbc:ID", line.id),
        leaf(f"cbc:{quantity}", number(line.quantity), unitCode=line.unit),
        _money("LineExtensionAmount", line.net, document),
        *(_adjustment(one, document) for one in line.adjustments),
        branch(
            "cac:Item",
            leaf("cbc:Description", line.description),
            leaf("cbc:Name", line.name),
            branch("cac:SellersItemIdentification", leaf("cbc:ID", line.part_number)),
            _category("cac:ClassifiedTaxCategory", line.category),
        ),
        branch(
            "cac:Price",
            leaf("cbc:PriceAmount", number(line.price), currencyID=document.currency),
            leaf("cbc:BaseQuantity", number(line.base_quantity), unitCode=line.unit),
        ),
    )
