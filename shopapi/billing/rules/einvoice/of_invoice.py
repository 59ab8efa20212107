"""An issued invoice or credit note in the terms of EN 16931.

EN 16931 has one rate for each line, prices without tax, at most two decimals, and the tax of each rate rounded once
(BR-CO-17); what was billed is never changed to fit. So an invoice is refused whose tax comes to something else that
way: where tax was rounded for each line, or several taxes each by itself, it may. A currency with three decimals
(ISO 4217) cannot be written at all; one with none, as the yen, is written in whole units.

Conventions: a discount of the document is shared among taxed and untaxed amounts as the invoice shared it. A
customer's country is the seller's where none is named. What the invoice lacks of the seller's address is taken from the
settings. What was paid before (BT-113) is what the paper says: deposits and payments known when it was issued.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Literal

from shopapi.billing.rules.einvoice.document import (
    MOST_DIGITS,
    ZERO,
    EAdjustment,
    EInvoice,
    ELine,
    EParty,
    EPayment,
    TaxCategory,
)
from shopapi.billing.rules.einvoice.totals import balance_of, line_net, round_amount, totals_of
from shopapi.billing.rules.invoices import BilledLine, InvoiceKind, InvoiceParty, InvoiceShown
from shopapi.billing.rules.settings import BillingSettingsFields
from shopapi.core.errors import Conflict, Context, FieldError
from shopapi.quotes.rules.lines import LineKind
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.taxes import rates_of, tax_on
from shopapi.quotes.rules.totals import Added, LineTotals, QuoteTotals, add_charges, in_order, nets_of

# UN/ECE Recommendation 20: an hour, one piece, one, a mile, a kilometre.
_HOUR, _PIECE, _ONE, _DISTANCE = "HUR", "H87", "C62", {"mi": "SMI", "km": "KMT"}
REASONS = {
    "labor_minimum": "Labor minimum",
    "supplies": "Supplies",
    "discount": "Discount",
    "core": "Core charge",
    "untaxed": "Not taxed",
    "outside": "Not subject to value added tax",
}
_SIX = Decimal("0.000001")


@dataclass(frozen=True)
class IssuedDocument:
    """What was issued.

    `paid_minor`: what of it was paid when it was issued, in minor units; none of a credit note. `credited`: number and
    day of the invoice that a credit note corrects.
    """

    kind: InvoiceKind
    number: str
    issued_on: date
    due_on: date | None
    shown: InvoiceShown
    book: ShopPrices
    lines: tuple[BilledLine, ...]
    exempt: bool
    totals: QuoteTotals
    note: str
    paid_minor: int = 0
    credited: tuple[str, date] | None = None


def einvoice_of(issued: IssuedDocument, settings: BillingSettingsFields) -> EInvoice:
    """The document by EN 16931. Raises Conflict `einvoice_digits`, `einvoice_incomplete` or `einvoice_not_exact`."""
    if issued.book.minor_digits > MOST_DIGITS:
        context: Context = {"currency": issued.book.currency, "digits": issued.book.minor_digits}
        fault = FieldError("currency", "einvoice_digits", context=context)
        raise Conflict("einvoice_digits", reason=fault.reason, fields=[fault])
    seller = _seller(issued, settings)
    _refuse_incomplete(issued, seller)
    parts = _Parts(issued, outside=not seller.vat_id and not seller.tax_number)
    lines, adjustments = parts.written()
    kind: Literal["380", "381"] = "381" if issued.kind == InvoiceKind.CREDIT_NOTE else "380"
    pay = issued.shown.pay_to
    document = EInvoice(
        number=issued.number,
        kind=kind,
        issued_on=issued.issued_on,
        delivered_on=issued.issued_on,
        due_on=issued.due_on if kind == "380" else None,
        currency=issued.book.currency,
        seller=seller,
        buyer=_party(issued.shown.customer, seller.country),
        lines=lines,
        adjustments=adjustments,
        note=issued.note,
        # Without a due day something must say when to pay (BR-CO-25).
        terms="" if issued.due_on and kind == "380" else "Due on receipt" if kind == "380" else "Credit",
        payment=EPayment("30", pay.iban.replace(" ", ""), pay.bic, pay.account_name, issued.number)
        if pay.iban
        else EPayment(reference=issued.number),
        paid=parts.money(issued.paid_minor),
        corrects=issued.credited,
        digits=issued.book.minor_digits,
        stated_tax=parts.money(issued.totals.tax_minor),
    )
    _refuse_inexact(document, issued, parts)
    return document


def _seller(issued: IssuedDocument, settings: BillingSettingsFields) -> EParty:
    shown = issued.shown.seller
    names = ("city", "region", "postcode", "country", "tax_number", "company_number")
    filled = {name: getattr(shown, name) or getattr(settings, name) for name in names}
    return _party(shown.model_copy(update=filled), filled["country"], is_seller=True)


def _party(party: InvoiceParty, country: str, *, is_seller: bool = False) -> EParty:
    street, *more = party.address.splitlines() or [""]
    number = party.tax_number.replace(" ", "")
    # A number of value added tax begins with its country (BR-CO-09); Greece writes EL.
    is_vat = number[:2] in {party.country or country, {"GR": "EL"}.get(country, country)}
    return EParty(
        name=party.name,
        country=party.country or country,
        street=street,
        more_street=", ".join(more),
        city=party.city,
        region=party.region,
        postcode=party.postcode,
        vat_id=number if is_vat else "",
        tax_number=number if is_seller and not is_vat else "",
        legal_id=party.company_number,
        contact=party.person,
        phone=party.phone,
        email=party.email,
    )


def _refuse_incomplete(issued: IssuedDocument, seller: EParty) -> None:
    faults = []
    if not seller.country:
        faults.append(FieldError("country", "einvoice_needs_country"))
    if not (seller.vat_id or seller.legal_id):
        faults.append(FieldError("company_number", "einvoice_needs_number"))
    if issued.totals.tax and not (seller.vat_id or seller.tax_number):
        faults.append(FieldError("tax_number", "einvoice_needs_tax_number"))
    if faults:
        raise Conflict("einvoice_incomplete", reason=faults[0].reason, fields=faults)


def _refuse_inexact(document: EInvoice, issued: IssuedDocument, parts: "_Parts") -> None:
    found, billed = totals_of(document), issued.totals
    if (found.net, found.tax, found.gross) == tuple(
        parts.money(minor) for minor in (billed.net_minor, billed.tax_minor, billed.total_minor)
    ):
        return
    (profile,) = issued.book.tax_profiles
    message = "einvoice_taxes_apart" if profile.per == "invoice" else "einvoice_tax_per_line"
    context = {"number": issued.number, "tax": str(found.tax), "billed": str(document.stated_tax)}
    raise Conflict("einvoice_not_exact", message=message, context=context)


class _Parts:
    """Lines and document amounts, each with its category, so that the bases are those of the invoice."""

    def __init__(self, issued: IssuedDocument, *, outside: bool) -> None:
        self.issued = issued
        (self.profile,) = issued.book.tax_profiles
        self.inclusive = self.profile.inclusive
        if outside:
            self.untaxed = TaxCategory("O", reason=REASONS["outside"])
        else:
            self.untaxed = TaxCategory("E", reason=issued.shown.exempt_reason or REASONS["untaxed"])
        self.outside = outside
        self.lines = {line.id: line for line in issued.lines}

    def money(self, minor: int) -> Decimal:
        return Decimal(minor).scaleb(-self.issued.book.minor_digits)

    def written(self) -> tuple[tuple[ELine, ...], tuple[EAdjustment, ...]]:
        """The lines, and the charges and allowances of the document."""
        totals, book = self.issued.totals, self.issued.book
        rows = [row for row in totals.lines if self.lines[row.id].kind != "discount"]
        lines = [self._line(str(at), row) for at, row in enumerate(rows, start=1)]
        added = {one.key: one for one in totals.added if one.amount_minor > 0}
        charges = [self._charge(one) for one in added.values()]
        off = -sum(row.amount_minor for row in totals.lines if self.lines[row.id].kind == "discount")
        off -= sum(one.amount_minor for one in totals.added if one.key == "discount")
        nets = nets_of(book, add_charges(book, in_order(self.issued.lines), None), off)
        taxed: list[tuple[LineKind, bool, int]] = [
            (self.lines[row.id].kind, row.taxable, row.amount_minor) for row in rows
        ]
        minimum, supplies = added.get("labor_minimum"), added.get("supplies")
        taxed.append(("labor", minimum is not None and minimum.taxable, minimum.amount_minor if minimum else 0))
        taxed.append(("supplies", supplies is not None and supplies.taxable, supplies.amount_minor if supplies else 0))
        classes: dict[Decimal, list[tuple[LineKind, int, int]]] = {}
        for (kind, taxable, amount), net in zip(taxed, nets, strict=True):
            classes.setdefault(self._percent(kind, taxable=taxable), []).append((kind, amount - net, net))
        # Of an exempt customer all classes are one category.
        found, wanted = dict[TaxCategory, Decimal](), dict[TaxCategory, Decimal]()
        for percent, of_class in classes.items():
            category = self._category(percent)
            kinds, off_each, nets_each = zip(*of_class, strict=True)
            found[category] = found.get(category, ZERO) + self._without_tax(sum(off_each), percent)
            # What the prices include is taken out as the invoice took it out.
            included = self.inclusive and percent
            tax = tax_on(self.profile, nets_each, kinds, exempt=False).whole if included else 0
            wanted[category] = wanted.get(category, ZERO) + self.money(sum(nets_each) - tax)
        allowances = [EAdjustment(less, REASONS["discount"], category=one) for one, less in found.items() if less > 0]
        for category, base in wanted.items():
            whole = sum((line.net for line in lines if line.category == category), ZERO)
            whole += self._balance(one for one in (*charges, *allowances) if one.category == category)
            if whole != base:
                lines, charges = _corrected(lines, charges, category, whole - base)
        return tuple(lines), (*charges, *allowances)

    def _percent(self, kind: LineKind, *, taxable: bool) -> Decimal:
        """The rates that apply to a kind of line, together."""
        return sum((rate.percent for rate in rates_of(self.profile, kind)), ZERO) if taxable else ZERO

    def _category(self, percent: Decimal) -> TaxCategory:
        if not percent or self.outside or self.issued.exempt:
            return self.untaxed
        return TaxCategory("S", percent.normalize())

    def _without_tax(self, minor: int, percent: Decimal) -> Decimal:
        """An amount without tax: where prices include it, rounded by itself."""
        amount = self.money(minor)
        if not (self.inclusive and percent):
            return amount
        return round_amount(amount * 100 / (100 + percent), self.issued.book.minor_digits)

    def _balance(self, adjustments: Iterable[EAdjustment]) -> Decimal:
        return balance_of(adjustments, digits=self.issued.book.minor_digits)

    def _charge(self, one: Added) -> EAdjustment:
        percent = self._percent("labor" if one.key == "labor_minimum" else "supplies", taxable=one.taxable)
        amount = self._without_tax(one.amount_minor, percent)
        return EAdjustment(amount, REASONS[one.key], charge=True, category=self._category(percent))

    def _line(self, at: str, row: LineTotals) -> ELine:
        line = self.lines[row.id]
        percent = self._percent(line.kind, taxable=row.taxable)
        net = self._without_tax(row.amount_minor, percent)
        quantity, unit = self._quantity(line, row)
        adjustments = []
        if row.discount_minor:
            adjustments.append(EAdjustment(self._without_tax(row.discount_minor, percent), REASONS["discount"]))
        if row.core_minor > 0:
            core = self._without_tax(row.core_minor, percent)
            adjustments.append(EAdjustment(core, REASONS["core"], charge=True))
        price = self._without_tax(row.unit_minor or 0, percent)
        found = ELine(
            id=at,
            name=" ".join(line.words.split())[:200],
            description=line.included,
            quantity=quantity,
            unit=unit,
            price=price,
            net=net,
            category=self._category(percent),
            part_number=line.part_number or "",
            adjustments=tuple(adjustments),
        )
        of_price = line_net(price, quantity, adjustments=adjustments, digits=self.issued.book.minor_digits)
        if row.unit_minor is not None and of_price == net:
            return found
        # A price for the whole, or one that includes tax: the price of one is what makes the amount.
        return _repriced(found, net)

    def _quantity(self, line: BilledLine, row: LineTotals) -> tuple[Decimal, str]:
        if row.unit_minor is None:
            return Decimal(1), _ONE
        if line.kind == "labor":
            return line.hours or Decimal(1), _HOUR
        if line.kind == "travel":
            return line.distance or Decimal(1), _DISTANCE[self.issued.book.travel.unit]
        return (Decimal(1) if line.quantity is None else line.quantity), _PIECE if line.kind == "part" else _ONE


def _repriced(line: ELine, net: Decimal) -> ELine:
    """A line whose price is what its amount comes to for one; a price is never below zero (BR-27)."""
    quantity = line.quantity or Decimal(1)
    if (net < 0) != (quantity < 0):
        quantity = -quantity
    price = (net / quantity).quantize(_SIX)
    return replace(line, net=net, quantity=quantity, price=price, adjustments=())


def _corrected(
    lines: list[ELine], charges: list[EAdjustment], category: TaxCategory, less: Decimal
) -> tuple[list[ELine], list[EAdjustment]]:
    """Lines and charges with a difference of rounding taken off the largest line of its category, or else charge."""
    those = [line for line in lines if line.category == category]
    if those:
        largest = max(those, key=lambda line: line.net)
        return [_repriced(line, line.net - less) if line is largest else line for line in lines], charges
    others = [one for one in charges if one.category == category]
    most = max(others, key=lambda one: one.amount, default=None)
    return lines, [replace(one, amount=one.amount - less) if one is most else one for one in charges]
