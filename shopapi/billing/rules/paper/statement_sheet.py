"""The exact text and figures of a statement: what one customer was charged and has paid, and what is open by age."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopapi.billing.rules.ageing import BUCKETS, AgeBucket, OpenAmount, age_amounts, days_late
from shopapi.billing.rules.paper.facts import PaperShop
from shopapi.billing.rules.paper.invoice_sheet import seller_lines
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.languages import Language, Texts, locale_for
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf.decision import Fact
from shopapi.quotes.rules.pdf.letter import LETTER_REM, REM_MM, Party, filled, one_line, wide_enough

# A sixth of the width of an A4 page without its margins, less the space between two sums.
AGE_ROOM_MM = 186 / 6 - 2
# The width of a letter or digit there in em, whose letters are the heaviest.
HEAVY_LETTER_REM = 0.62


@dataclass(frozen=True, slots=True)
class StatementEntry:
    """A charge (above zero) or a payment or credit (below zero), in minor units.

    `kind`: "invoice" or "credit_note" with its number in `what`; else a kind of payment with its method in `what`.
    """

    on: date
    kind: str
    what: str
    minor: int
    is_reversal: bool = False


@dataclass(frozen=True, slots=True)
class OpenInvoice:
    """What is open of an invoice in minor units."""

    number: str
    issued_on: date
    due_on: date | None
    total_minor: int
    open_minor: int


@dataclass(frozen=True, slots=True)
class StatementFacts:
    """`before_minor`: the balance at the start of `first_on`, which with the entries gives what is open in all.

    `unused_minor`: what is paid and pays no invoice yet.
    """

    seller: Mapping[str, str]
    customer: str
    customer_lines: tuple[str, ...]
    language: Language
    first_on: date
    through: date
    before_minor: int
    entries: Sequence[StatementEntry]
    open_invoices: Sequence[OpenInvoice]
    unused_minor: int
    words: str


@dataclass(frozen=True, slots=True)
class EntryRow:
    day: str
    what: str
    charged: str
    paid: str
    balance: str


@dataclass(frozen=True, slots=True)
class OpenRow:
    number: str
    day: str
    due: str
    late: str
    total: str
    open: str


@dataclass(frozen=True, slots=True)
class StatementSheet:
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
    rows: tuple[EntryRow, ...]
    open_rows: tuple[OpenRow, ...]
    ages: tuple[Fact, ...]
    words: str

    @property
    def amount_width(self) -> str:
        """The CSS width of the columns of amounts in which none is wrapped."""
        amounts = [text for row in self.rows for text in (row.charged, row.paid, row.balance)]
        amounts += [text for row in self.open_rows for text in (row.total, row.open)]
        return wide_enough(amounts, least_mm=25, letter_rem=LETTER_REM, padding_mm=2)

    @property
    def age_size(self) -> str:
        """The CSS size of the sums by age, with which the longest fits into its sixth of the page."""
        longest = max(len(age.value) for age in self.ages)
        return f"{min(1.22, AGE_ROOM_MM / REM_MM / longest / HEAVY_LETTER_REM):.2f}rem"


def closing_minor(facts: StatementFacts) -> int:
    """What the customer owes at the end, in minor units; below zero: what the shop owes."""
    return facts.before_minor + sum(entry.minor for entry in facts.entries)


def ages_of(facts: StatementFacts) -> Mapping[AgeBucket, int]:
    """What is open by age; money that pays no invoice yet is a credit."""
    amounts = [OpenAmount(one.due_on, one.open_minor) for one in facts.open_invoices]
    return age_amounts([*amounts, OpenAmount(None, -facts.unused_minor)], facts.through)


def lay_out_statement(facts: StatementFacts, *, shop: PaperShop) -> StatementSheet:
    """Lay a statement out for printing."""
    texts = TEXTS[facts.language]
    locale = locale_for(shop.locale, texts.language)
    figures = Figures(locale, shop.currency, shop.zone, texts.language)
    name, through = texts["statement"], figures.day(facts.through)
    pay = _pay(closing_minor(facts), texts, figures)
    return StatementSheet(
        t=texts,
        language=locale if locale.startswith(f"{texts.language}-") else texts.language,
        title=texts.say("title", name=name, number=f"{facts.customer}, {through}"),
        name=name,
        number="",
        asides=(),
        foot=" · ".join(filled(facts.seller["name"], name, facts.customer, through)),
        shop_name=facts.seller["name"],
        shop_lines=seller_lines(facts.seller, texts),
        pay=pay,
        pay_by=texts.say("on_day", day=through),
        parties=(Party(texts["for"], facts.customer, tuple(map(one_line, facts.customer_lines))),),
        facts=(Fact(texts["from_day"], figures.day(facts.first_on)), Fact(texts["through"], through)),
        rows=_rows(facts, texts, figures),
        open_rows=tuple(_open_row(one, facts.through, texts, figures) for one in facts.open_invoices),
        ages=_ages(facts, texts, figures),
        words=facts.words,
    )


def _pay(minor: int, texts: Texts, figures: Figures) -> str:
    if minor > 0:
        return texts.say("open_amount", amount=figures.money(minor))
    return texts.say("in_your_favor", amount=figures.money(-minor)) if minor else texts["nothing_open"]


def _rows(facts: StatementFacts, texts: Texts, figures: Figures) -> tuple[EntryRow, ...]:
    balance = facts.before_minor
    rows = [EntryRow(figures.day(facts.first_on), texts["brought_forward"], "", "", figures.money(balance))]
    for entry in facts.entries:
        balance += entry.minor
        amount = figures.money(abs(entry.minor))
        charged = (amount, "") if entry.minor >= 0 else ("", amount)
        rows.append(EntryRow(figures.day(entry.on), _what(entry, texts), *charged, figures.money(balance)))
    return tuple(rows)


def _what(entry: StatementEntry, texts: Texts) -> str:
    if entry.is_reversal:
        return texts["entry_reversed"]
    if entry.kind in ("invoice", "credit_note"):
        return texts.say("title", name=texts[entry.kind], number=entry.what)
    return texts.say(f"entry_{entry.kind}", how=texts[f"by_{entry.what}"])


def _open_row(one: OpenInvoice, today: date, texts: Texts, figures: Figures) -> OpenRow:
    late = days_late(one.due_on, today)
    return OpenRow(
        one.number,
        figures.day(one.issued_on),
        "" if one.due_on is None else figures.day(one.due_on),
        texts.count("late_days", late) if late else texts["not_due"],
        figures.money(one.total_minor),
        figures.money(one.open_minor),
    )


def _ages(facts: StatementFacts, texts: Texts, figures: Figures) -> tuple[Fact, ...]:
    """The five ages, what is in the customer's favor where there is something, and the sum."""
    ages = ages_of(facts)
    rows = [
        Fact(texts[f"age_{bucket}"], figures.money(ages[bucket]))
        for bucket in BUCKETS
        if bucket != "credit" or ages[bucket]
    ]
    return (*rows, Fact(texts["age_total"], figures.money(sum(ages.values()))))
