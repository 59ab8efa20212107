"""The lines of a quote on the PDF by rank, and the sums below them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Literal
from uuid import UUID

from shopapi.core.languages import Texts
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.lines import RANKS
from shopapi.quotes.rules.pdf.facts import DecisionFacts
from shopapi.quotes.rules.questions import OfferQuestion, alone, questions_of
from shopapi.quotes.rules.totals import QuoteTotals

Answer = Literal["yes", "no", ""]


@dataclass(frozen=True, slots=True)
class LineRow:
    """One question. `place` is its number on this PDF; `answer` says what `said` means, or is empty: to be marked.

    `found` and `later`, what was found and the amount if it is done later, are empty where the offer says neither.
    `change`, `kept`: how it differs from the quote signed before, the answer that it keeps. `parts`: its lines with
    their amounts, where it has more than one. `apart`: that it may not be enough by itself.
    """

    id: UUID
    ids: tuple[UUID, ...]
    place: int
    words: str
    included: str
    found: str
    later: str
    notes: tuple[str, ...]
    how_much: str
    amount: str
    answer: str
    said: Answer = ""
    parts: tuple[str, ...] = ()
    apart: str = ""
    change: str = ""
    kept: str = ""

    @property
    def declined(self) -> bool:
        return self.said == "no"


@dataclass(frozen=True, slots=True)
class RankGroup:
    title: str
    plain: str
    lines: tuple[LineRow, ...]
    # Empty for what was agreed before.
    rank: str = ""


@dataclass(frozen=True, slots=True)
class SumRow:
    """`detail` is a separate text after the label, since a label may be written right to left.

    `weight`: "" for summands, "sum" for a sum on the way, "total" for the total, "after" for rows about it.
    """

    label: str
    amount: str
    detail: str = ""
    weight: Literal["", "sum", "total", "after"] = ""


def group_lines(
    offer: Mapping[str, Any],
    texts: Texts,
    figures: Figures,
    answered: DecisionFacts | None,
    *,
    unanswered: str,
    notes: Mapping[str, tuple[str, str]],
) -> tuple[RankGroup, ...]:
    """The questions of an offer by rank. `notes`: what is said of changes, by the keys of questions."""
    groups, place = [], 0
    questions = questions_of(offer["lines"])
    for rank in RANKS:
        rows = []
        for question in questions:
            if question.rank == rank:
                place += 1
                said = _answer(question, answered)
                answer = texts[said] if said else unanswered
                row = _row(question, place, texts, figures, answer=answer, said=said)
                change, kept = notes.get(question.key, ("", ""))
                rows.append(replace(row, change=change, kept=kept))
        if rows:
            groups.append(RankGroup(texts[f"rank_{rank}"], texts[f"rank_{rank}_plain"], tuple(rows), rank))
    return tuple(groups)


def agreed_group(offer: Mapping[str, Any], texts: Texts, figures: Figures) -> RankGroup | None:
    """What was agreed before or is spent already, which nobody is asked about."""
    lines = [line for line in offer["lines"] if "agreed" in line]
    rows = []
    for at, line in enumerate(lines, 1 + len(questions_of(offer["lines"]))):
        rows.append(_row(alone(line), at, texts, figures, answer=texts["agreed"]))
    return RankGroup(texts["agreed_before"], texts["agreed_before_plain"], tuple(rows)) if rows else None


def _answer(question: OfferQuestion, answered: DecisionFacts | None) -> Answer:
    first = UUID(question.lines[0]["id"])
    if answered and first in answered.accepted_ids:
        return "yes"
    return "no" if answered and first in answered.declined_ids else ""


def _row(
    question: OfferQuestion, place: int, texts: Texts, figures: Figures, *, answer: str, said: Answer = ""
) -> LineRow:
    lines = question.lines
    ids = tuple(UUID(line["id"]) for line in lines)
    return LineRow(
        id=ids[0],
        ids=ids,
        place=place,
        words=question.title,
        included=_joined(lines, "included"),
        found=_joined(lines, "found"),
        later="" if question.later_minor is None else figures.money(question.later_minor),
        notes=tuple(note for line in lines for note in line_notes(line, texts, figures)),
        how_much=how_much(lines[0], texts, figures) if len(lines) == 1 else "",
        amount=figures.money(question.amount_minor),
        answer=answer,
        said=said,
        parts=tuple(_part(line, question.title, texts, figures) for line in lines) if len(lines) > 1 else (),
        apart=texts.say("only_one", works=", ".join(f"“{title}”" for title in question.apart_from))
        if question.apart_from
        else "",
    )


def line_notes(line: Mapping[str, Any], texts: Texts, figures: Figures) -> tuple[str, ...]:
    """The discount and the core charge that the amount of a line includes."""
    said = [("discount_in", line["discount_minor"]), ("core_in", line["core_minor"])]
    return tuple(texts.say(key, amount=figures.money(minor)) for key, minor in said if minor)


def _joined(lines: Sequence[Mapping[str, Any]], name: str) -> str:
    return "\n".join(dict.fromkeys(line[name] for line in lines if line.get(name)))


def _part(line: Mapping[str, Any], title: str, texts: Texts, figures: Figures) -> str:
    """As in "Labor, 1.5 h at $90.00: $135.00"."""
    words = texts[f"kind_{line['kind']}"] if line["words"] == title else line["words"]
    counted = how_much(line, texts, figures)
    return f"{words}{', ' if counted else ''}{counted}: {figures.money(line['amount_minor'])}"


def how_much(line: Mapping[str, Any], texts: Texts, figures: Figures) -> str:
    """The quantity and unit price ("1.5 h at $95.00"); only "24 mi" where their product is not the amount."""
    if not line["quantity"]:
        return ""
    counted = figures.number(Decimal(line["quantity"]))
    if line["unit"] != "each":
        counted += f"\u00a0{line['unit']}"
    if line["unit_minor"] is None:
        return counted
    return texts.say("count_at", count=counted, price=figures.money(line["unit_minor"]))


def sum_rows(
    offer: Mapping[str, Any],
    totals: QuoteTotals,
    texts: Texts,
    figures: Figures,
    *,
    answered: DecisionFacts | None,
    later: int | None,
) -> tuple[SumRow, ...]:
    """Rows that add up from the top: ranks, discount lines, additions, tax, total; then rows about the total.

    `later`: the total of the same lines done later, while nothing is decided.
    """
    by_rank = totals.by_rank.model_dump()
    ranked = {line["rank"] for line in offer["lines"] if line["kind"] != "discount" and "agreed" not in line}
    agreed = [line for line in offer["lines"] if "agreed" in line]
    for line in agreed:
        by_rank[line["rank"]] -= line["amount_minor"]
    rows = [SumRow(texts[f"rank_{rank}"], figures.money(by_rank[rank])) for rank in RANKS if rank in ranked]
    if agreed:
        rows.append(SumRow(texts["agreed_before"], figures.money(sum(line["amount_minor"] for line in agreed))))
    inside = offer["prices_hold_tax"]
    rows += discount_rows(offer, totals, texts, figures)
    tax = tax_rows(totals, texts, figures, inside=inside)
    if tax and not inside:
        rows += [SumRow(texts["before_tax"], figures.money(totals.net_minor)), *tax]
    total = texts["approved_total" if answered else "total"]
    rows.append(SumRow(total, figures.money(totals.total_minor), weight="total"))
    said = [(texts["before_tax"], totals.net_minor)] if tax and inside else []
    if later is not None and not answered:
        said.append((texts["later_total"], later))
    if totals.deposit_minor:
        said.append((texts["deposit"], totals.deposit_minor))
        said.append((texts["balance"], totals.owed_after_deposit_minor))
    if answered and totals.total_minor != offer["total_minor"]:
        said.append((texts["full_quote"], offer["total_minor"]))
    rows += tax if inside else ()
    rows += [SumRow(label, figures.money(minor), weight="after") for label, minor in said]
    return tuple(rows)


def discount_rows(
    document: Mapping[str, Any], totals: QuoteTotals, texts: Texts, figures: Figures
) -> tuple[SumRow, ...]:
    """The accepted discount lines of a document, and what was added to its lines."""
    discounts = {line["id"]: line for line in document["lines"] if line["kind"] == "discount"}
    own = [(discounts[str(line.id)], line) for line in totals.lines if str(line.id) in discounts and line.accepted]
    return (
        *(SumRow(text["words"], figures.money(line.amount_minor), text["included"]) for text, line in own),
        *(SumRow(texts[f"added_{added.key}"], figures.money(added.amount_minor)) for added in totals.added),
    )


def tax_rows(totals: QuoteTotals, texts: Texts, figures: Figures, *, inside: bool) -> tuple[SumRow, ...]:
    """The tax by rate. `inside`: prices include it."""
    share = "tax_share_inside" if inside else "tax_share"
    return tuple(
        SumRow(
            f"{row.label},",
            figures.money(row.tax_minor),
            texts.say(share, percent=figures.percent(row.percent), base=figures.money(row.base_minor)),
            "after" if inside else "",
        )
        for row in totals.tax
    )
