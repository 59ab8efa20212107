"""Journal, registers, and issued documents by EN 16931, from drawn invoices."""

import csv
import io
import re
from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest

from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.rules.einvoice.of_invoice import IssuedDocument, einvoice_of
from shopapi.billing.rules.einvoice.totals import ETotals, totals_of
from shopapi.billing.rules.einvoice.ubl import write_ubl
from shopapi.billing.rules.invoices import BilledLine, InvoiceKind
from shopapi.billing.rules.journal import Billed, Paid, journal, journal_text
from shopapi.billing.rules.registers import PaymentRegister, PaymentRegisterRow, payments_table
from shopapi.billing.rules.settings import Accounts, BillingSettingsFields
from shopapi.core.errors import Conflict
from shopapi.core.money import minor_digits
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules import ShopPrices, compute_totals
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.rules.totals import LineTotals, QuoteTotals, RankTotals
from tests.billing.drawn_issued import DAY, as_billed, drawn_payments, issued_documents
from tests.billing.published_rules import faults_of_cii, faults_of_ubl

JOB, LABOR, PART = (UUID(int=at) for at in (7, 1, 2))
SETTINGS = BillingSettingsFields()


def _totals(labor: int, parts: int, tax: int) -> QuoteTotals:
    def line(row_id: UUID, minor: int) -> LineTotals:
        return LineTotals(
            id=row_id, accepted=True, unit_minor=None, gross_minor=minor, discount_minor=0, core_minor=0,
            amount_minor=minor, taxable=True, tax_minor=None,
        )  # fmt: skip

    whole = labor + parts
    return QuoteTotals(
        lines=(line(LABOR, labor), line(PART, parts)), added=(), by_rank=RankTotals(safety=0, needed=whole, advised=0),
        subtotal_minor=whole, net_minor=whole, tax=(), tax_minor=tax, total_minor=whole + tax, deposit_minor=0,
        owed_after_deposit_minor=whole + tax,
    )  # fmt: skip


def _invoice(day: int, *, sign: int = 1) -> Billed:
    return Billed("INV-1001", date(2026, 11, day), JOB, "Orchard", sign, _totals(10_000, 6_000, 1_600),
                  {LABOR: "labor", PART: "part"})  # fmt: skip


def _money(day: int, minor: int, *, deposit: bool = False, tip: int = 0, method: str = "cash") -> Paid:
    return Paid(date(2026, 11, day), JOB, "Orchard", method, deposit, minor, tip)


def _sums(*events: Billed | Paid) -> dict[str, int]:
    """The balance of each account, without those that are even."""
    billed = [one for one in events if isinstance(one, Billed)]
    paid = [one for one in events if isinstance(one, Paid)]
    found: Counter[str] = Counter()
    for entry in journal(billed, paid, Accounts()):
        assert sum(posting.amount_minor for posting in entry.postings) == 0
        for posting in entry.postings:
            found[posting.account] += posting.amount_minor
    return {account: minor for account, minor in found.items() if minor}


SOLD = {"labor": -10_000, "parts": -6_000, "tax": -1_600}


# Worked by hand, as any book of double entry has it: what is owed to the shop is a debit, what it owes a credit.
@pytest.mark.parametrize(
    ("events", "expected"),
    [
        ([_invoice(5)], {"receivable": 17_600, **SOLD}),
        ([_invoice(5), _money(9, 17_600, method="card")], {"cards": 17_600, **SOLD}),
        ([_money(2, 5_000, deposit=True)], {"cash": 5_000, "deposits": -5_000}),
        ([_money(2, 5_000, deposit=True), _invoice(5)], {"cash": 5_000, "receivable": 12_600, **SOLD}),
        ([_money(2, 20_000, deposit=True), _invoice(5)], {"cash": 20_000, "deposits": -2_400, **SOLD}),
        ([_money(2, 5_000, deposit=True), _money(3, -5_000)], {}),
        ([_money(2, 20_000, deposit=True), _invoice(5), _money(6, -2_400)], {"cash": 17_600, **SOLD}),
        ([_invoice(5), _invoice(6, sign=-1)], {}),
        ([_invoice(5), _money(9, 17_600, tip=400)], {"cash": 18_000, "tips": -400, **SOLD}),
        (
            [_invoice(5), _money(9, 18_000), _money(9, -400, method="credit")],
            {"cash": 18_000, "deposits": -400, **SOLD},
        ),
    ],
)  # fmt: skip
def test_balances_after_hand_worked_cases(events: list[Billed | Paid], expected: dict[str, int]) -> None:
    assert _sums(*events) == expected


def test_every_drawn_entry_sums_to_zero_and_the_books_to_what_was_billed_and_paid() -> None:
    jobs = [UUID(int=at) for at in range(1, 60)]
    issued = list(issued_documents(20261130, 200))
    billed = [as_billed(one, jobs[at % len(jobs)]) for at, one in enumerate(issued)]
    paid = drawn_payments(20261130, jobs, 400)
    entries = journal(billed, paid, Accounts())
    assert len(entries) == 600
    assert all(sum(posting.amount_minor for posting in entry.postings) == 0 for entry in entries)
    balances: Counter[str] = Counter()
    for entry in entries:
        for posting in entry.postings:
            balances[posting.account] += posting.amount_minor
    sales = ("labor", "parts", "travel", "fees", "supplies", "discounts")
    assert -sum(balances[name] for name in sales) == sum(one.sign * one.totals.net_minor for one in billed)
    assert -balances["tax"] == sum(one.sign * one.totals.tax_minor for one in billed)
    owed = sum(one.sign * one.totals.total_minor for one in billed) - sum(one.toward_bill for one in paid)
    of_credit = sum(one.toward_bill + one.tip for one in paid if one.method == "credit")
    assert balances["receivable"] + balances["deposits"] - of_credit == owed


def test_accounts_are_named_as_the_shop_names_them() -> None:
    (entry,) = journal([_invoice(5)], [], Accounts(receivable="1400", labor="8400"))
    assert [posting.account for posting in entry.postings] == ["1400", "8400", "parts", "tax"]


def test_the_journal_as_text_shows_both_sides_and_that_they_are_even() -> None:
    entries = journal([_invoice(5)], [_money(9, 17_600)], Accounts(parts="Parts\nand more"))
    text = journal_text(entries, title="Journal", currency="USD", digits=2)
    assert "2026-11-05  INV-1001  Orchard\n    debit   receivable" in text
    assert "Parts and more" in text
    sides = re.findall(r"^    (debit|credit) .* ([0-9.]+)$", text, re.MULTILINE)
    sums = {side: sum(Decimal(amount) for one, amount in sides if one == side) for side in ("debit", "credit")}
    assert sums == {"debit": Decimal("352.00"), "credit": Decimal("352.00")}
    assert text.endswith("Debits              352.00\nCredits             352.00\nDifference            0.00\n")


def test_registers_as_csv_hold_no_formula() -> None:
    row = PaymentRegisterRow(
        payment_id=UUID(int=1), paid_on=DAY, kind="refund", method="cash", customer_id=UUID(int=2),
        customer="=HYPERLINK(1)", job_number="J-7", reference="@SUM(1)", amount_minor=-1250, tip_minor=0,
        reverses_id=None,
    )  # fmt: skip
    register = PaymentRegister(
        first=DAY, last=DAY, currency="EUR", minor_digits=2, closed_through=None, rows=[row], amount_minor=-1250,
        tip_minor=0,
    )  # fmt: skip
    content, name = payments_table(register)
    (read,) = csv.DictReader(io.StringIO(content.decode("utf-8-sig")))
    assert name == "payments-2026-11-02-2026-11-02.csv"
    assert (read["paid on"], read["amount"]) == ("2026-11-02", "-12.50")
    assert (read["customer"], read["reference"]) == ("'=HYPERLINK(1)", "'@SUM(1)")


# ISO 4217: the euro has two decimal digits, the yen none.
@pytest.mark.parametrize(("currency", "digits"), [("EUR", 2), ("JPY", 0)])
def test_issued_documents_keep_their_amounts_to_the_smallest_unit(currency: str, digits: int) -> None:
    """Tax rounded once for each class of rates always fits, added to prices or included in them."""
    outcomes: Counter[bool] = Counter()
    for issued in issued_documents(16931, 400, plain=True, currency=currency, digits=digits):
        found, billed = totals_of(einvoice_of(issued, SETTINGS)), issued.totals
        assert (found.net, found.tax, found.gross) == tuple(
            Decimal(minor).scaleb(-digits) for minor in (billed.net_minor, billed.tax_minor, billed.total_minor)
        )
        unit = Decimal(1).scaleb(-digits)
        assert all(abs(group.tax - group.base * group.category.percent / 100) < unit for group in found.groups)
        outcomes[issued.book.tax_profiles[0].inclusive] += 1
    assert min(outcomes[True], outcomes[False]) > 100


def test_what_cannot_be_written_is_refused_with_the_reason_and_the_way_out() -> None:
    """Any rounding in any currency: only tax rounded for each line, several taxes apart, or too many digits."""
    outcomes: Counter[str] = Counter()
    for issued in issued_documents(17, 1_000):
        (profile,), digits = issued.book.tax_profiles, issued.book.minor_digits
        found, refused = _written_or_refused(issued)
        outcomes[refused] += 1
        if found is None:
            assert {
                "einvoice_digits": digits > 2,
                "einvoice_tax_per_line": profile.per == "line",
                "einvoice_taxes_apart": profile.per == "invoice" and len(profile.rates) > 1,
            }[refused]
        else:
            assert (digits <= 2, found.tax) == (True, Decimal(issued.totals.tax_minor).scaleb(-digits))
    assert set(outcomes) == {"", "einvoice_digits", "einvoice_tax_per_line", "einvoice_taxes_apart"}
    assert outcomes[""] > 20 * (outcomes["einvoice_tax_per_line"] + outcomes["einvoice_taxes_apart"])


def _written_or_refused(issued: IssuedDocument) -> tuple[ETotals | None, str]:
    """The totals of the invoice file, or the code of the sentence that refuses it."""
    try:
        return totals_of(einvoice_of(issued, SETTINGS)), ""
    except Conflict as refused:
        return None, refused.reason.code


@pytest.mark.parametrize(("currency", "digits"), [("EUR", 2), ("JPY", 0)])
@pytest.mark.parametrize("seed", range(3))
def test_issued_documents_keep_the_published_rules(seed: int, currency: str, digits: int) -> None:
    for issued in issued_documents(seed, 12, plain=True, currency=currency, digits=digits):
        document = einvoice_of(issued, SETTINGS)
        for written, faults in ((write_cii(document), faults_of_cii), (write_ubl(document), faults_of_ubl)):
            assert faults(written) == []
            amounts = re.findall(
                rb"Amount(?: currencyID=\"...\")?>(-?[0-9.]+)</(?!cbc:PriceAmount|ram:Charge)", written
            )
            assert amounts
            assert all(len(one.partition(b".")[2]) == digits for one in amounts)


def test_yen_are_written_whole_also_where_prices_include_tax() -> None:
    """ISO 4217: the yen has no minor unit. 1,155 yen with 10 % in them are 105 yen of tax and 1,050 without it.

    Of 1,000 yen the tax is 90.909..., so 91 on a base of 909: 10 % of that is 90.9, rounded to whole yen (BR-CO-17).
    Of 1,160 yen it is 105.45..., so 105 on a base of 1,055, of which 10 % is the tie 105.5.
    """
    profile = {
        "key": "ct", "label": "Tax", "from_on": "2020-01-01", "until_on": None, "inclusive": True, "per": "invoice",
        "rounding": "half_up", "rates": [{"key": "ct", "label": "Tax", "percent": "10"}], "labor": "always",
        "part": True, "supplies": True, "travel": True, "fee": True, "lumped": False,
    }  # fmt: skip
    book = parse(ShopPrices, starting_prices("JPY") | {"tax_profiles": [profile]})
    (any_issued,) = issued_documents(3, 1)
    for price, base, tax in ((1_155, 1_050, 105), (1_000, 909, 91), (1_160, 1_055, 105)):
        line = BilledLine(id=LABOR, position=0, kind="fee", rank=FindingRank.NEEDED, words="Blade", fixed_minor=price)
        totals = compute_totals(book, [line])
        issued = replace(
            any_issued, kind=InvoiceKind.INVOICE, credited=None, book=book, lines=(line,), totals=totals, exempt=False
        )
        document = einvoice_of(issued, SETTINGS)
        assert [(group.base, group.tax) for group in totals_of(document).groups] == [(Decimal(base), Decimal(tax))]
        assert f'<cbc:TaxAmount currencyID="JPY">{tax}</cbc:TaxAmount>'.encode() in write_ubl(document)
        assert f"<ram:BasisAmount>{base}</ram:BasisAmount>".encode() in write_cii(document)
        assert faults_of_cii(write_cii(document)) + faults_of_ubl(write_ubl(document)) == []


@pytest.mark.parametrize("currency", ["KWD", "CLF"])
def test_a_currency_of_more_than_two_digits_is_refused_first_and_says_why(currency: str) -> None:
    """BR-DEC-01 and following allow two decimals; by ISO 4217 KWD has three, CLF four."""
    (issued,) = issued_documents(3, 1)
    bare = issued.shown.model_copy(
        update={"seller": issued.shown.seller.model_copy(update={"country": "", "tax_number": ""})}
    )
    book = issued.book.model_copy(update={"currency": currency, "minor_digits": minor_digits(currency)})
    with pytest.raises(Conflict) as refused:
        einvoice_of(replace(issued, shown=bare, book=book), SETTINGS)
    assert (refused.value.code, [fault.field for fault in refused.value.fields]) == ("einvoice_digits", ["currency"])
    sentence = render(refused.value.reason)
    assert f"{currency} has {minor_digits(currency)}" in sentence
    assert "send the PDF" in sentence


def test_what_the_shop_has_not_said_is_asked_for_by_field() -> None:
    (issued,) = issued_documents(3, 1)
    bare = issued.shown.model_copy(
        update={"seller": issued.shown.seller.model_copy(update={"country": "", "tax_number": ""})}
    )
    with pytest.raises(Conflict) as refused:
        einvoice_of(replace(issued, shown=bare), SETTINGS)
    assert {"country", "company_number"} <= {fault.field for fault in refused.value.fields}
