"""Issued documents drawn from a seed, with every feature of the price book, and money taken for them."""

from collections.abc import Iterator
from datetime import date, timedelta
from random import Random
from uuid import UUID

from shopapi.billing.rules.einvoice.of_invoice import IssuedDocument
from shopapi.billing.rules.invoices import BilledLine, InvoiceKind, InvoiceParty, InvoiceShown, PayTo
from shopapi.billing.rules.journal import Billed, Paid
from shopapi.core.schema import parse
from shopapi.quotes.rules import Discount, QuoteLine, ShopPrices, basis_on, check_lines, compute_totals
from tests.quotes.drawn_quotes import draw_quote

DAY = date(2026, 11, 2)
SHOWN = InvoiceShown(
    seller=InvoiceParty(
        name="Ridgeline Mower Works",
        address="Feldweg 3\nHof 2",
        city="Neuenhagen",
        postcode="15366",
        country="DE",
        tax_number="DE 123456789",
    ),
    customer=InvoiceParty(name="Orchard & Sons", person="Ms. Orchard", address="Am Hof 1\n14542 Werder"),
    pay_to=PayTo(iban="DE89 3704 0044 0532 0130 00", bic="COBADEFF", account_name="Ridgeline"),
    exempt_reason="Diplomatic mission",
)
METHODS = ("cash", "check", "card", "transfer", "credit", "other")


def issued_documents(
    seed: int, count: int, *, plain: bool = False, currency: str = "EUR", digits: int = 2
) -> Iterator[IssuedDocument]:
    """Invoices and credit notes.

    `plain`: in this currency, and tax is rounded once for each class of rates, half away from zero.
    """
    by = Random(seed)  # noqa: S311 - drawn to be the same each time
    made = 0
    while made < count:
        quote = draw_quote(by)
        basis = basis_on(parse(ShopPrices, quote["book"]), date.fromisoformat(quote["on"]))
        if basis is None:
            continue
        if plain:
            (profile,) = basis.tax_profiles
            one_rate = {"per": "invoice", "rounding": "half_away", "rates_rounded": "together"}
            changed = {
                "tax_profiles": (profile.model_copy(update=one_rate),),
                "currency": currency,
                "minor_digits": digits,
            }
            basis = basis.model_copy(update=changed)
        lines = [parse(QuoteLine, line) for line in quote["lines"]]
        discount = parse(Discount, quote["discount"] or {})
        if not lines or check_lines(basis, lines, discount=discount):
            continue
        totals = compute_totals(basis, lines, discount=discount, exempt=quote["exempt"])
        if totals.total_minor <= 0:
            continue
        made += 1
        is_credit = by.random() < 0.25
        yield IssuedDocument(
            kind=InvoiceKind.CREDIT_NOTE if is_credit else InvoiceKind.INVOICE,
            number=f"INV-{1000 + made}",
            issued_on=DAY + timedelta(days=made % 25),
            due_on=None if made % 3 == 0 else DAY + timedelta(days=40),
            shown=SHOWN,
            book=basis,
            lines=tuple(BilledLine(**line.model_dump()) for line in lines),
            exempt=quote["exempt"],
            totals=totals,
            note="",
            credited=("INV-0990", DAY) if is_credit else None,
        )


def as_billed(issued: IssuedDocument, job_id: UUID | None) -> Billed:
    return Billed(
        number=issued.number,
        on=issued.issued_on,
        job_id=job_id,
        customer=issued.shown.customer.name,
        sign=-1 if issued.kind == InvoiceKind.CREDIT_NOTE else 1,
        totals=issued.totals,
        kinds={line.id: line.kind for line in issued.lines},
    )


def drawn_payments(seed: int, jobs: list[UUID], count: int) -> list[Paid]:
    """Payments, deposits and money back, with tips, on these jobs."""
    by = Random(seed)  # noqa: S311 - drawn to be the same each time
    found = []
    for _ in range(count):
        toward = by.choice((1, 1, 1, -1)) * by.randrange(1, 40_000)
        found.append(
            Paid(
                on=DAY + timedelta(days=by.randrange(28)),
                job_id=by.choice(jobs),
                customer="Orchard & Sons",
                method=by.choice(METHODS),
                is_deposit=toward > 0 and by.random() < 0.4,
                toward_bill=toward,
                tip=by.choice((0, 0, 500)),
            )
        )
    return found
