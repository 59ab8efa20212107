"""What a customer is asked: the lines of one work are one yes or no.

Made from the lines of an offer document, which are what the customer is shown.
Twin: `pwa/src/domain/quotes/questions.ts`; both run the vectors of `fixtures/pricing/questions.json`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.lines import RANKS

OfferLine = Mapping[str, Any]


@dataclass(frozen=True)
class OfferQuestion:
    """One yes or no, in minor units. `key` names it: the id of the line that its lines belong to, or of its only one.

    rank         the most pressing of its lines
    title        the words of its labor, or of its first line where it has none
    later_minor  what it comes to if done later; None where no line of it names a price for then
    apart_from   the titles of questions about the same work: yes to some of them alone may leave the work undone
    """

    key: str
    rank: FindingRank
    title: str
    lines: tuple[OfferLine, ...]
    amount_minor: int
    later_minor: int | None
    apart_from: tuple[str, ...]


def questions_of(lines: Sequence[OfferLine]) -> list[OfferQuestion]:
    """The questions of an offer in the order of their first lines. Discounts and agreed costs are not asked."""
    by_key: dict[str, list[OfferLine]] = {}
    for line in lines:
        if line["kind"] != "discount" and "agreed" not in line:
            key = line["id"] if "apart" in line else work_of(line)
            by_key.setdefault(key, []).append(line)
    return [
        OfferQuestion(
            key=key,
            rank=min((FindingRank(line["rank"]) for line in own), key=RANKS.index),
            title=_title(own),
            lines=tuple(own),
            amount_minor=sum(line["amount_minor"] for line in own),
            later_minor=sum(line.get("later_minor", line["amount_minor"]) for line in own)
            if any("later_minor" in line for line in own)
            else None,
            apart_from=tuple(
                _title(others)
                for other, others in by_key.items()
                if other != key and work_of(others[0]) == work_of(own[0])
            ),
        )
        for key, own in by_key.items()
    ]


def alone(line: OfferLine) -> OfferQuestion:
    """A line by itself, as if it were asked."""
    return OfferQuestion(
        line["id"],
        FindingRank(line["rank"]),
        line["words"],
        (line,),
        line["amount_minor"],
        line.get("later_minor"),
        (),
    )


def work_of(line: OfferLine) -> str:
    """What names the work of a line, asked apart or not."""
    work: str = line.get("belongs_to", line["id"])
    return work


def _title(lines: Sequence[OfferLine]) -> str:
    words: str = next((line for line in lines if line["kind"] == "labor"), lines[0])["words"]
    return words
