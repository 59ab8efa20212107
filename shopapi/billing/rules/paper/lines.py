"""The lines of an invoice on paper by work, and the sums below them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shopapi.billing.rules.paper.facts import InvoiceFacts, PaidFacts, WarrantyFacts
from shopapi.core.languages import Texts
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf.lines import SumRow, discount_rows, how_much, line_notes, tax_rows
from shopapi.quotes.rules.questions import work_of
from shopapi.quotes.rules.totals import QuoteTotals

Line = Mapping[str, Any]
_BESIDE_WORK = frozenset({"travel", "fee", "supplies"})


@dataclass(frozen=True, slots=True)
class PaperLine:
    words: str
    included: str
    part: str
    notes: tuple[str, ...]
    how_much: str
    amount: str


@dataclass(frozen=True, slots=True)
class Work:
    """One work with its lines; a work of one line has no `amount` of its own, the line is printed alone."""

    title: str
    amount: str
    lines: tuple[PaperLine, ...]


def works_of(document: Mapping[str, Any], facts: InvoiceFacts, texts: Texts, figures: Figures) -> tuple[Work, ...]:
    """The lines of a document by work, in the order of their first lines; travel and fees by themselves come last."""
    by_key: dict[str, list[Line]] = {}
    charged = [line for line in document["lines"] if line["kind"] != "discount"]
    belonging = {line["belongs_to"] for line in charged if "belongs_to" in line}
    for line in charged:
        alone = "belongs_to" not in line and line["id"] not in belonging
        by_key.setdefault("" if alone and line["kind"] in _BESIDE_WORK else work_of(line), []).append(line)
    others = by_key.pop("", [])
    works = [_work(lines, _title(lines), facts, texts, figures) for lines in by_key.values()]
    if others:
        works.append(_work(others, texts["other_charges"], facts, texts, figures))
    return tuple(works)


def _title(lines: Sequence[Line]) -> str:
    words: str = next((line for line in lines if line["kind"] == "labor"), lines[0])["words"]
    return words


def _work(lines: Sequence[Line], title: str, facts: InvoiceFacts, texts: Texts, figures: Figures) -> Work:
    alone = len(lines) == 1
    amount = "" if alone else figures.money(sum(line["amount_minor"] for line in lines))
    return Work(title, amount, tuple(_line(line, "" if alone else title, facts, texts, figures) for line in lines))


def _line(line: Line, title: str, facts: InvoiceFacts, texts: Texts, figures: Figures) -> PaperLine:
    number = facts.part_numbers.get(line["id"], "")
    return PaperLine(
        words=texts[f"kind_{line['kind']}"] if line["words"] == title else line["words"],
        included=line["included"],
        part=texts.say("part_no", number=number) if number else "",
        notes=line_notes(line, texts, figures),
        how_much=how_much(line, texts, figures),
        amount=figures.money(line["amount_minor"]),
    )


def invoice_sums(
    document: Mapping[str, Any], totals: QuoteTotals, facts: InvoiceFacts, texts: Texts, figures: Figures
) -> tuple[SumRow, ...]:
    """Rows that add up from the top: lines, discounts and additions, tax, total, what is paid, what is to be paid."""
    inside = document["prices_hold_tax"]
    of_lines = sum(line["amount_minor"] for line in document["lines"] if line["kind"] != "discount")
    off = discount_rows(document, totals, texts, figures)
    tax = tax_rows(totals, texts, figures, inside=inside)
    before_tax = SumRow(texts["before_tax"], figures.money(totals.net_minor), weight="after" if inside else "")
    rows = [SumRow(texts["work_and_parts"], figures.money(of_lines)), *off] if off or (tax and not inside) else []
    if tax and not inside:
        rows += [before_tax, *tax]
    paid = _paid_rows(facts, texts, figures)
    label = texts["total_credit" if document["kind"] == "credit_note" else "total"]
    rows.append(SumRow(label, figures.money(totals.total_minor), weight="sum" if paid else "total"))
    if paid:
        rows += [*paid, SumRow(texts["to_pay"], figures.money(facts.open_minor), weight="total")]
    if tax and inside:
        rows += [before_tax, *tax]
    return tuple(rows)


def _paid_rows(facts: InvoiceFacts, texts: Texts, figures: Figures) -> list[SumRow]:
    """What is paid of an invoice, as single entries where all of each pays this invoice."""
    if not facts.paid_minor:
        return []
    if sum(entry.toward_minor for entry in facts.paid) != facts.paid_minor:
        return [SumRow(texts["from_deposits"], figures.money(-facts.paid_minor))]
    entries = [entry for entry in facts.paid if entry.toward_minor]
    return [SumRow(paid_text(entry, texts, figures), figures.money(-entry.toward_minor)) for entry in entries]


def paid_text(entry: PaidFacts, texts: Texts, figures: Figures) -> str:
    """As in "Deposit paid by card, Nov 28, 2026"."""
    if entry.is_reversal:
        return texts.say("paid_reversed", day=figures.day(entry.on))
    return texts.say(f"paid_{entry.kind}", how=texts[f"by_{entry.method}"], day=figures.day(entry.on))


def warranty_texts(
    warranty: Sequence[WarrantyFacts], through: Mapping[int, str], texts: Texts, figures: Figures
) -> tuple[str, ...]:
    """One sentence per term, with the lines that have it. `through`: the last day of so many days."""
    by_term: dict[tuple[int | None, str], list[str]] = {}
    for one in warranty:
        hours = "" if one.hours is None else figures.number(one.hours)
        by_term.setdefault((one.days, hours), []).append(one.words)
    said = []
    for (days, hours), words in by_term.items():
        if days is None and not hours:
            continue
        works = texts["work_all"] if len(by_term) == 1 and len(words) > 1 else ", ".join(dict.fromkeys(words))
        key = "warranty_hours" if days is None else "warranty_both" if hours else "warranty_days"
        said.append(texts.say(key, works=works, days=days, hours=hours, day="" if days is None else through[days]))
    return tuple(said)
