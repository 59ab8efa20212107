"""The lines of a quote on the PDF by rank, and the sums below them."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal
from uuid import UUID

from shopapi.documents.rules import Figures
from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.lines import RANKS
from shopapi.quotes.rules.pdf.facts import DecisionFacts
from shopapi.quotes.rules.totals import QuoteTotals
from shopapi.quotes.rules.wording import ADDED

RANK_TITLES: Mapping[FindingRank, tuple[str, str]] = {
    FindingRank.SAFETY: ("Safety", "someone can get hurt"),
    FindingRank.NEEDED: ("Needed", "to make it work"),
    FindingRank.ADVISED: ("Advised", "worth doing"),
}


@dataclass(frozen=True, slots=True)
class LineRow:
    """`place` is the line's number on this PDF; `answer` is "Yes", "No", "Open", or empty: to be marked.

    `found` (the finding) and `later` (the amount if done later) are empty where the offer has none.
    """

    id: UUID
    place: int
    words: str
    included: str
    found: str
    later: str
    notes: tuple[str, ...]
    how_much: str
    amount: str
    answer: str

    @property
    def declined(self) -> bool:
        return self.answer == "No"


@dataclass(frozen=True, slots=True)
class RankGroup:
    title: str
    plain: str
    lines: tuple[LineRow, ...]


@dataclass(frozen=True, slots=True)
class SumRow:
    """`detail` is a separate text after the label, since a label may be written right to left.

    `weight`: "" for summands, "total" for the total, "after" for rows about it.
    """

    label: str
    amount: str
    detail: str = ""
    weight: Literal["", "total", "after"] = ""


def group_lines(
    offer: Mapping[str, Any], figures: Figures, answered: DecisionFacts | None, *, unanswered: str
) -> tuple[RankGroup, ...]:
    groups, place = [], 0
    for rank in RANKS:
        rows = []
        for line in offer["lines"]:
            if line["rank"] == rank and line["kind"] != "discount":
                place += 1
                rows.append(_row(line, place, figures, _answer(line, answered) or unanswered))
        if rows:
            groups.append(RankGroup(*RANK_TITLES[rank], lines=tuple(rows)))
    return tuple(groups)


def _answer(line: Mapping[str, Any], answered: DecisionFacts | None) -> str:
    if answered and UUID(line["id"]) in answered.accepted_ids:
        return "Yes"
    return "No" if answered and UUID(line["id"]) in answered.declined_ids else ""


def _row(line: Mapping[str, Any], place: int, figures: Figures, answer: str) -> LineRow:
    notes = []
    if line["discount_minor"]:
        notes.append(f"Less {figures.money(line['discount_minor'])}, in the amount.")
    if line["core_minor"]:
        notes.append(f"{figures.money(line['core_minor'])} of it comes back for the old part.")
    return LineRow(
        id=UUID(line["id"]),
        place=place,
        words=line["words"],
        included=line["included"],
        found=line.get("found", ""),
        later=figures.money(line["later_minor"]) if "later_minor" in line else "",
        notes=tuple(notes),
        how_much=_how_much(line, figures),
        amount=figures.money(line["amount_minor"]),
        answer=answer,
    )


def _how_much(line: Mapping[str, Any], figures: Figures) -> str:
    """The quantity and unit price ("1.5 h at $95.00"); only "24 mi" where their product is not the amount."""
    if not line["quantity"]:
        return ""
    counted = figures.number(Decimal(line["quantity"]))
    if line["unit"] != "each":
        counted += f"\u00a0{line['unit']}"
    if line["unit_minor"] is None:
        return counted
    return f"{counted} at {figures.money(line['unit_minor'])}"


def sum_rows(
    offer: Mapping[str, Any], totals: QuoteTotals, figures: Figures, answered: DecisionFacts | None, later: int | None
) -> tuple[SumRow, ...]:
    """Rows that add up from the top: ranks, discount lines, additions, tax, total; then rows about the total.

    `later`: the total of the same lines done later, while nothing is decided.
    """
    by_rank = totals.by_rank.model_dump()
    ranked = {line["rank"] for line in offer["lines"] if line["kind"] != "discount"}
    rows = [SumRow(RANK_TITLES[rank][0], figures.money(by_rank[rank])) for rank in RANKS if rank in ranked]
    texts = {line["id"]: line for line in offer["lines"] if line["kind"] == "discount"}
    for line in totals.lines:
        text = texts.get(str(line.id))
        if text and line.accepted:
            rows.append(SumRow(text["words"], figures.money(line.amount_minor), text["included"]))
    rows += [SumRow(ADDED[added.key], figures.money(added.amount_minor)) for added in totals.added]

    inside = offer["prices_hold_tax"]
    tax = [
        SumRow(
            f"{row.label},",
            figures.money(row.tax_minor),
            f"{figures.percent(row.percent)} of {figures.money(row.base_minor)}" + (", inside it" if inside else ""),
            "after" if inside else "",
        )
        for row in totals.tax
    ]
    if tax and not inside:
        rows += [SumRow("Before tax", figures.money(totals.net_minor)), *tax]
    total = "Total of what was agreed" if answered else "Total"
    rows.append(SumRow(total, figures.money(totals.total_minor), weight="total"))
    said = [("Without tax", totals.net_minor)] if tax and inside else []
    if later is not None and not answered:
        said.append(("The same done later", later))
    if totals.deposit_minor:
        said.append(("Asked up front", totals.deposit_minor))
        said.append(("Still due after that", totals.owed_after_deposit_minor))
    if answered and totals.total_minor != offer["total_minor"]:
        said.append(("Everything offered came to", offer["total_minor"]))
    rows += tax if inside else []
    rows += [SumRow(label, figures.money(minor), weight="after") for label, minor in said]
    return tuple(rows)
