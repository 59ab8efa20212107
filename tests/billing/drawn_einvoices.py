"""Invoices in the terms of EN 16931: one by hand, and any number drawn from a seed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

from shopapi.billing.rules.einvoice.document import (
    EAdjustment,
    EInvoice,
    ELine,
    EParty,
    EPayment,
    TaxCategory,
)
from shopapi.billing.rules.einvoice.totals import line_net

STANDARD = TaxCategory("S", Decimal(25))
LOWER = TaxCategory("S", Decimal(15))
EXEMPT = TaxCategory("E", reason="Labor is not taxed")
OUTSIDE = TaxCategory("O", reason="Not subject to value added tax")
SELLER = EParty(
    "Ridgeline Mower Works",
    "DE",
    street="Feldweg 3",
    city="Neuenhagen",
    postcode="15366",
    vat_id="DE123456789",
    tax_number="123/456/78901",
    contact="Mira Holt",
    phone="+49 30 555 0100",
    email="office@ridgeline.example",
)
BUYER = EParty("Orchard & Sons", "DE", street="Am Hof 1", city="Werder", postcode="14542")


def a_line(at: int, *, net: str, category: TaxCategory = STANDARD) -> ELine:
    """A line of one piece with this amount."""
    amount = Decimal(net)
    quantity = Decimal(-1) if amount < 0 else Decimal(1)
    return ELine(str(at), f"Line {at}", quantity, "C62", abs(amount), amount, category)


def an_invoice(*lines: ELine, **changes: object) -> EInvoice:
    """An invoice of these lines; `changes` replace its fields."""
    plain = EInvoice(
        number="INV-1001",
        kind="380",
        issued_on=date(2026, 11, 30),
        delivered_on=date(2026, 11, 28),
        currency="EUR",
        seller=SELLER,
        buyer=BUYER,
        lines=lines,
        due_on=date(2026, 12, 14),
        payment=EPayment("30", "DE89370400440532013000", "COBADEFF", "Ridgeline", "INV-1001"),
    )
    return replace(plain, **changes)  # type: ignore[arg-type] # a test names fields that there are


def drawn(seed: int) -> EInvoice:
    """An invoice of up to 20 lines of two rates and none, with allowances and charges, or its credit note."""
    by = Random(seed)  # noqa: S311 - drawn to be the same each time
    lines = tuple(_drawn_line(by, at + 1) for at in range(by.randint(1, 20)))
    used = list({line.category.code + str(line.category.percent): line.category for line in lines}.values())
    adjustments = tuple(
        EAdjustment(Decimal(by.randint(1, 5000)) / 100, "Agreed", by.random() < 0.4, by.choice(used))
        for _ in range(by.choice((0, 0, 1, 2)))
    )
    credit = by.random() < 0.3
    return an_invoice(
        *lines,
        kind="381" if credit else "380",
        adjustments=adjustments,
        corrects=("INV-0990", date(2026, 11, 3)) if credit else None,
        paid=Decimal(by.choice((0, 0, 1000))) / 100,
        note="Öl & Filter <neu> “ok”",
    )


def _drawn_line(by: Random, at: int) -> ELine:
    price, quantity = Decimal(by.randint(1, 90_000)) / 100, Decimal(by.randint(1, 4000)) / 100
    base = Decimal(by.choice((1, 1, 1, 10)))
    adjustments = tuple(
        EAdjustment(Decimal(by.randint(1, 300)) / 100, "Part of it", by.random() < 0.5)
        for _ in range(by.choice((0, 0, 1, 2)))
    )
    return ELine(
        id=str(at),
        name=by.choice(("Blade", "Belt", "Sharpening", "Fetching")),
        quantity=quantity,
        unit=by.choice(("H87", "HUR", "KMT", "C62")),
        price=price,
        net=line_net(price, quantity, base, adjustments),
        category=by.choice((STANDARD, LOWER, EXEMPT)),
        base_quantity=base,
        part_number=by.choice(("", "B-5512")),
        adjustments=adjustments,
    )
