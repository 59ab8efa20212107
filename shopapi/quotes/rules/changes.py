"""What a revision changes against the quote that was signed, and which answers it keeps.

Both are compared as offer documents, which are what the customer was shown. A line is the same where everything that
the customer reads of it is; it is changed where its kind and description are the same. An answer is kept where all
lines of a question are the same and none was taken out of it. The customer may change it, and the decision still names
every line: nothing is decided by being kept.
Twin: `pwa/src/domain/quotes/changes.ts`; both run the vectors of `fixtures/pricing/changes.json`.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from typing_extensions import TypeAliasType

from shopapi.quotes.rules.questions import OfferLine, OfferQuestion, alone, questions_of

Change = TypeAliasType("Change", Literal["same", "changed", "added", "removed"])


@dataclass(frozen=True)
class LineChange:
    """A line of the revision, or one that was taken out, with its amount in the signed quote."""

    change: Change
    line: OfferLine
    before_minor: int | None


@dataclass(frozen=True)
class QuestionChange:
    """A question of the revision, or one that was taken out; also a cost or a discount that is not asked.

    before_minor  its amount in the signed quote; None where it is new
    answer        the answer that it keeps: "yes", "no", or "" for none
    """

    change: Change
    question: OfferQuestion
    before_minor: int | None
    answer: Literal["yes", "no", ""]
    lines: tuple[LineChange, ...]


def compare_offers(
    before: Sequence[OfferLine], after: Sequence[OfferLine], *, accepted: Collection[str], declined: Collection[str]
) -> list[QuestionChange]:
    """The questions of a revision in order, then what is not asked, then what was taken out.

    before, after       the lines of the two offer documents
    accepted, declined  the ids of the lines of the signed quote by answer
    """
    matched = _match(before, after)
    old = _items(before)
    item_of = {line["id"]: item for item in old for line in item.lines}
    kept = {line["id"] for line in matched.values()}
    found, told = [], set[str]()
    for item in _items(after):
        origins = list({item_of[matched[line["id"]]["id"]].key: None for line in item.lines if line["id"] in matched})
        was = [each for each in old if each.key in origins]
        lines = [_line_change(line, matched.get(line["id"])) for line in item.lines]
        # What was taken out of a work is told with the first question that is left of it.
        gone = [line for each in was if each.key not in told for line in each.lines if line["id"] not in kept]
        told.update(origins)
        lines += [LineChange("removed", line, line["amount_minor"]) for line in gone]
        same = len(was) == 1 and len(was[0].lines) == len(item.lines) and all(line.change == "same" for line in lines)
        change: Change = "same" if same else "changed" if was else "added"
        first = was[0].lines[0]["id"] if same else ""
        answer: Literal["yes", "no", ""] = "yes" if first in accepted else "no" if first in declined else ""
        is_asked = "agreed" not in item.lines[0] and item.lines[0]["kind"] != "discount"
        before_minor = sum(each.amount_minor for each in was) if was else None
        found.append(QuestionChange(change, item, before_minor, answer if is_asked else "", tuple(lines)))
    found += [
        QuestionChange("removed", each, each.amount_minor, "", tuple(_taken_out(each)))
        for each in old
        if not any(line["id"] in kept for line in each.lines)
    ]
    return found


@dataclass(frozen=True)
class OfferedRevision:
    """One revision of a quote: its lines as offered. `signed`: its customer answered it."""

    lines: Sequence[OfferLine]
    signed: bool


def successors_of(revisions: Sequence[OfferedRevision]) -> dict[str, str]:
    """By id of a line of an earlier revision: the id of the line of the last one that it became.

    Each revision is matched with the next signed one, else with the last, as `compare_offers` matches them. What was
    taken out on the way is not there.
    """
    found: dict[str, str] = {}
    if not revisions:
        return found
    *earlier, last = revisions
    after = last
    for revision in reversed(earlier):
        for line_id, was in _match(revision.lines, after.lines).items():
            successor = line_id if after is last else found.get(line_id)
            if successor is not None:
                found[was["id"]] = successor
        if revision.signed:
            after = revision
    return found


def _items(lines: Sequence[OfferLine]) -> list[OfferQuestion]:
    """The questions, then each line that is not asked."""
    unasked = [alone(line) for line in lines if line["kind"] == "discount" or "agreed" in line]
    return [*questions_of(lines), *unasked]


def _line_change(line: OfferLine, was: OfferLine | None) -> LineChange:
    if was is None:
        return LineChange("added", line, None)
    return LineChange("same" if _content(line) == _content(was) else "changed", line, was["amount_minor"])


def _taken_out(question: OfferQuestion) -> list[LineChange]:
    return [LineChange("removed", line, line["amount_minor"]) for line in question.lines]


def _match(before: Sequence[OfferLine], after: Sequence[OfferLine]) -> dict[str, OfferLine]:
    """By id of a line of the revision: the line of the signed quote that it was. Each is matched once."""
    found: dict[str, OfferLine] = {}
    taken: set[str] = set()
    rules: tuple[Callable[[OfferLine], Any], ...] = (_content, _name)
    for of in rules:
        for line in after:
            left = (was for was in before if was["id"] not in taken and of(was) == of(line))
            was = None if line["id"] in found else next(left, None)
            if was is not None:
                found[line["id"]] = was
                taken.add(was["id"])
    return found


def _content(line: OfferLine) -> dict[str, Any]:
    """What the customer reads of a line."""
    return {name: value for name, value in line.items() if name not in ("id", "belongs_to")}


def _name(line: OfferLine) -> tuple[str, str]:
    return line["kind"], line["words"]
