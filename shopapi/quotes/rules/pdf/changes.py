"""What a revision changes against the signed quote, as text for the PDF and the customer's page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from shopapi.core.languages import Texts
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.changes import LineChange, QuestionChange, compare_offers
from shopapi.quotes.rules.questions import OfferLine


@dataclass(frozen=True, slots=True)
class SignedBefore:
    """The quote that was signed before this revision: who answered it on which day of the shop, its lines by answer."""

    name: str
    on: date
    lines: Sequence[OfferLine]
    accepted: frozenset[str]
    declined: frozenset[str]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A question that is not the same. `said` tells how it differs, with both figures."""

    words: str
    said: str
    amount: str


@dataclass(frozen=True, slots=True)
class ChangesPart:
    """`said`: who answered the signed quote and when. `same`: how many items have not changed."""

    said: str
    rows: tuple[ChangeRow, ...]
    same: str


def changes_from(before: SignedBefore, lines: Sequence[OfferLine]) -> list[QuestionChange]:
    return compare_offers(before.lines, lines, accepted=before.accepted, declined=before.declined)


def describe_changes(
    before: SignedBefore, changes: Sequence[QuestionChange], texts: Texts, figures: Figures, *, is_open: bool
) -> ChangesPart:
    """The changes of a revision in the order of its questions, what was taken out last. `is_open`: not decided yet."""
    same = sum(one.change == "same" for one in changes)
    rows = [
        ChangeRow(
            one.question.title,
            _said(one, texts, figures),
            "" if one.change == "removed" else figures.money(one.question.amount_minor),
        )
        for one in changes
        if one.change != "same"
    ]
    unchanged = texts.count("unchanged", same) if same else ""
    key = "signed_before_kept" if is_open and same else "signed_before"
    said = texts.say(key, name=before.name, day=figures.day(before.on))
    return ChangesPart(said, tuple(rows), unchanged)


def change_notes(
    before: SignedBefore, changes: Sequence[QuestionChange], texts: Texts, figures: Figures
) -> Mapping[str, tuple[str, str]]:
    """What is said at each question by its key: how it changed, and the answer that it keeps."""
    day = figures.day(before.on)
    return {
        one.question.key: (
            _said(one, texts, figures),
            texts.say(f"kept_{one.answer}", day=day) if one.answer else "",
        )
        for one in changes
        if one.change != "removed"
    }


def _said(one: QuestionChange, texts: Texts, figures: Figures) -> str:
    if one.change == "same":
        return ""
    said = [_change(one.change, one.before_minor, one.question.amount_minor, texts, figures)]
    if one.change == "changed" and len(one.lines) > 1:
        said += [_part(line, texts, figures) for line in one.lines if line.change != "same"]
    return ". ".join(said)


def _part(change: LineChange, texts: Texts, figures: Figures) -> str:
    amount: int = change.line["amount_minor"]
    said = _change(change.change, change.before_minor, amount, texts, figures)
    now = "" if change.change == "removed" else f" ({figures.money(amount)})"
    return f"{change.line['words']}: {said[0].lower()}{said[1:]}{now}"


def _change(change: str, before_minor: int | None, amount_minor: int, texts: Texts, figures: Figures) -> str:
    """As in "Changed, was $90.00"."""
    if before_minor is None:
        return texts["change_added"]
    same_price = change == "changed" and before_minor == amount_minor
    if same_price:
        return texts["change_same_price"]
    return texts.say(f"change_{change}", money=figures.money(before_minor))
