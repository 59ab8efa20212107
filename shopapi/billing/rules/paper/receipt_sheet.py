"""The exact text and figures of a receipt of money taken or given back."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from shopapi.billing.rules.paper.facts import PaperShop
from shopapi.billing.rules.paper.invoice_sheet import seller_lines
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.languages import Language, Texts, locale_for
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf.decision import Fact
from shopapi.quotes.rules.pdf.letter import LETTER_REM, Party, filled, one_line, wide_enough
from shopapi.quotes.rules.pdf.lines import SumRow


@dataclass(frozen=True, slots=True)
class ReceiptFacts:
    """An entry of money and where it left the job or the invoice, in minor units.

    `number`: what names the receipt. `toward_minor`: what it counts for the bill, below zero where money went back.
    `reversed_at`: when it was taken back as a mistake.
    """

    number: str
    seller: Mapping[str, str]
    customer: str
    customer_lines: tuple[str, ...]
    language: Language
    kind: str
    method: str
    reference: str
    at: datetime
    member: str
    job: str
    machine: str
    invoice: str
    toward_minor: int
    tip_minor: int
    billed_minor: int
    paid_minor: int
    open_minor: int
    unused_minor: int
    words: str
    reversed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ReceiptSheet:
    """Everything the template prints, as text."""

    t: Texts
    language: str
    title: str
    name: str
    number: str
    asides: tuple[str, ...]
    foot: str
    shop_name: str
    shop_lines: tuple[str, ...]
    pay: str
    pay_by: str
    parties: tuple[Party, ...]
    facts: tuple[Fact, ...]
    rows: tuple[Fact, ...]
    sums: tuple[SumRow, ...]
    words: str

    @property
    def sum_width(self) -> str:
        return wide_enough([row.amount for row in self.sums], least_mm=34, letter_rem=LETTER_REM * 1.56)


def lay_out_receipt(one: ReceiptFacts, *, shop: PaperShop) -> ReceiptSheet:
    """Lay a receipt out for printing."""
    texts = TEXTS[one.language]
    locale = locale_for(shop.locale, texts.language)
    figures = Figures(locale, shop.currency, shop.zone, texts.language)
    back = one.toward_minor + one.tip_minor < 0
    name = texts["receipt_back" if back else "receipt"]
    title = texts.say("title", name=name, number=one.number)
    amount = figures.money(abs(one.toward_minor + one.tip_minor))
    gone = one.reversed_at
    return ReceiptSheet(
        t=texts,
        language=locale if locale.startswith(f"{texts.language}-") else texts.language,
        title=title,
        name=name,
        number=one.number,
        asides=() if gone is None else (texts.say("reversed_receipt", day=figures.moment(gone)),),
        foot=" · ".join(filled(one.seller["name"], title)),
        shop_name=one.seller["name"],
        shop_lines=seller_lines(one.seller, texts),
        pay=texts.say("we_paid_back" if back else "we_received", amount=amount),
        pay_by=texts[f"by_{one.method}"],
        parties=(
            Party(
                texts["given_to" if back else "received_from"], one.customer, tuple(map(one_line, one.customer_lines))
            ),
            *((Party(texts["machine"], one.machine, (), is_machine=True),) if one.machine else ()),
        ),
        facts=(Fact(texts["day"], figures.moment(one.at)),),
        rows=_rows(one, texts, figures),
        sums=_sums(one, texts, figures),
        words=one.words,
    )


def _parties(one: ReceiptFacts, texts: Texts, *, back: bool) -> tuple[Party, ...]:
    title = texts["given_to" if back else "received_from"]
    parties = [Party(title, one.customer, tuple(map(one_line, one.customer_lines)))]
    if one.machine:
        parties.append(Party(texts["machine"], one.machine, (), is_machine=True))
    return tuple(parties)


def _rows(one: ReceiptFacts, texts: Texts, figures: Figures) -> tuple[Fact, ...]:
    if one.invoice:
        what = texts.say("invoice_of", number=one.invoice)
    else:
        what = texts.say("deposit_for" if one.kind == "deposit" else "job_of", job=one.job)
    rows = [
        (texts["for_what"], what),
        (texts["reference"], one.reference),
        (texts["tip"], figures.money(one.tip_minor) if one.tip_minor and one.toward_minor else ""),
        (texts["taken_by"], one.member),
    ]
    return tuple(Fact(label, value) for label, value in rows if value)


def _sums(one: ReceiptFacts, texts: Texts, figures: Figures) -> tuple[SumRow, ...]:
    """Where the money left the bill: billed, paid, and what is open or in hand."""
    held = SumRow(texts["held_for_you"], figures.money(one.unused_minor))
    if not one.billed_minor:
        return (replace(held, weight="total"),)
    rows = (
        SumRow(texts["billed_so_far"], figures.money(one.billed_minor)),
        SumRow(texts["paid_so_far"], figures.money(one.paid_minor)),
        *((held,) if one.unused_minor > 0 else ()),
    )
    return (*rows, SumRow(texts["still_open"], figures.money(one.open_minor), weight="total"))
