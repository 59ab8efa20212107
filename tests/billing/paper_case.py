"""Invoices of an invented shop, as the tests of their paper need them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from shopapi.billing.rules.document import invoice_document
from shopapi.billing.rules.invoices import BilledLine, InvoiceKind, InvoiceParty, InvoiceShown
from shopapi.billing.rules.paper.facts import DeclinedFacts, InvoiceFacts, PaidFacts, PaperShop, WarrantyFacts
from shopapi.billing.rules.paper.invoice_sheet import InvoiceSheet, lay_out_invoice
from shopapi.billing.rules.paper.receipt_sheet import ReceiptFacts
from shopapi.billing.rules.paper.statement_sheet import OpenInvoice, StatementEntry, StatementFacts
from shopapi.core.languages import Language
from shopapi.core.schema import to_json
from shopapi.quotes.rules import Discount, QuoteTotals, ShopPrices, compute_totals
from shopapi.quotes.rules.left_safety import LeftDevice, LeftUnrepaired
from tests.quotes.pdf_case import COMPLAINT, MACHINE, book, lines

LEFT = LeftUnrepaired(
    finding="The seat switch is wired over",
    devices=[LeftDevice("seat_switch", "bypassed")],
    lost="The engine keeps running when you leave the seat",
    who="Marla Quist",
    how="in_person",
    at=datetime(2026, 11, 25, 21, 20, tzinfo=UTC),
)
SHOP = PaperShop("en-US", "America/Boise", "USD")
SELLER = InvoiceParty(
    name="Tolliver Small Engine",
    address="418 Cutbank Road\nHagerstone, ID 83332",
    phone="208 555 0142",
    email="bench@tolliver.example",
)
DEPOSIT = PaidFacts("deposit", "card", date(2026, 11, 25), 10500)


def works() -> list[BilledLine]:
    """The lines of the quote that belong together as works, as an invoice takes them over."""
    made = [BilledLine(**line.model_dump()) for line in lines(10)]
    belongs = {1: 0, 3: 2, 6: 2}
    return [
        line.model_copy(update={"belongs_to_id": made[belongs[at]].id}) if at in belongs else line
        for at, line in enumerate(made)
    ]


@dataclass(frozen=True)
class PaperCase:
    document: dict[str, Any]
    totals: QuoteTotals
    facts: InvoiceFacts
    sheet: InvoiceSheet


def facts(**changed: Any) -> InvoiceFacts:
    usual = InvoiceFacts(
        state="issued",
        is_mark=False,
        digest="7c1e40aa" + "0" * 56,
        machine=MACHINE,
        site=None,
        complaints=[COMPLAINT],
        approved="Nov 25, 2026",
        paid=[DEPOSIT],
        paid_minor=10500,
        open_minor=0,
        left=[LEFT],
        declined=[DeclinedFacts("Tie rod ends", is_safety=False, amount_minor=11010)],
        warranty=[
            WarrantyFacts("Rebuild the left deck spindle", 90, Decimal(50)),
            WarrantyFacts("Brake band", 90, None),
        ],
        part_numbers={},
        payment_url="pay.tolliver.example/INV-1001",
    )
    return replace(usual, **changed)


def paper(
    of: Sequence[BilledLine] | None = None,
    *,
    the_book: ShopPrices | None = None,
    language: Language = "en",
    kind: str = "invoice",
    shop: PaperShop = SHOP,
    shown: Mapping[str, Any] | None = None,
    exempt: bool = False,
    note: str = "",
    **changed: Any,
) -> PaperCase:
    of = works() if of is None else of
    priced = the_book or book()
    totals = compute_totals(priced, of, exempt=exempt)
    shown_ = InvoiceShown(
        seller=SELLER,
        customer=InvoiceParty(
            name="Marla Quist",
            address="77 Ditch Lane\nHagerstone, ID 83332",
            phone="208 555 0177",
            email="marla.quist@mail.example",
        ),
        machine="Brandt & Hale GT-1848 garden tractor, serial 0O1lI-88213",
        job_number="J-1042",
        credited_number="" if kind == "invoice" else "INV-1001",
        words="Pay at pickup, by card, check or cash.",
        language=language,
    )
    document = invoice_document(
        kind=InvoiceKind(kind),
        number="INV-1001" if kind == "invoice" else "CN-1001",
        issued_on=date(2026, 11, 28),
        due_on=date(2026, 12, 12) if kind == "invoice" else None,
        shown=shown_.model_copy(update=dict(shown or {})),
        book=priced,
        lines=of,
        discount=Discount(),
        exempt=exempt,
        totals=totals,
        note=note,
    )
    usual: dict[str, Any] = {"paid": [], "paid_minor": 0} if kind == "credit_note" else {}
    usual |= changed
    paid = usual.get("paid_minor", 10500)
    usual.setdefault("open_minor", totals.total_minor - paid if kind == "invoice" else 0)
    facts_ = facts(part_numbers={str(UUID(int=2)): "BB-114"}, **usual)
    return PaperCase(document, totals, facts_, lay_out_invoice(document, totals, facts_, shop=shop))


def receipt(**changed: Any) -> ReceiptFacts:
    usual = ReceiptFacts(
        number="J-1042-1",
        seller=to_json(SELLER),
        customer="Marla Quist",
        customer_lines=("77 Ditch Lane\nHagerstone, ID 83332",),
        language="en",
        kind="deposit",
        method="card",
        reference="slip 4471",
        at=datetime(2026, 11, 25, 21, 30, tzinfo=UTC),
        member="Ida Tolliver",
        job="J-1042",
        machine="Brandt & Hale GT-1848 garden tractor",
        invoice="",
        toward_minor=10500,
        tip_minor=500,
        billed_minor=0,
        paid_minor=10500,
        open_minor=0,
        unused_minor=10500,
        words="Keep this receipt.",
    )
    return replace(usual, **changed)


def statement(**changed: Any) -> StatementFacts:
    usual = StatementFacts(
        seller=to_json(SELLER),
        customer="Greenmere Golf & Bowls",
        customer_lines=("12 Fairway Rd\nPellan Mills, ID 83330", "208 555 0199"),
        language="en",
        first_on=date(2026, 9, 1),
        through=date(2026, 11, 30),
        before_minor=12000,
        entries=[
            StatementEntry(date(2026, 9, 3), "payment", "check", -12000),
            StatementEntry(date(2026, 9, 14), "invoice", "INV-0990", 91840),
            StatementEntry(date(2026, 10, 2), "deposit", "card", -20000),
            StatementEntry(date(2026, 10, 21), "invoice", "INV-1003", 128400),
            StatementEntry(date(2026, 10, 30), "credit_note", "CN-0007", -8400),
            StatementEntry(date(2026, 11, 28), "invoice", "INV-1011", 34218),
        ],
        open_invoices=[
            OpenInvoice("INV-0990", date(2026, 9, 14), date(2026, 9, 28), 91840, 71840),
            OpenInvoice("INV-1003", date(2026, 10, 21), date(2026, 11, 4), 120000, 120000),
            OpenInvoice("INV-1011", date(2026, 11, 28), date(2026, 12, 12), 34218, 34218),
        ],
        unused_minor=0,
        words="",
    )
    return replace(usual, **changed)
