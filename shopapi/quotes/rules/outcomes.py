"""What became of quotes: how much of what was offered was accepted, declined or never answered.

What is counted is the question, as the customer reads it: the lines that are one yes or no together. Its amount is the
sum of its lines before tax and before discounts on the whole quote. Lines that the customer is not asked about count
nowhere.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime
from typing_extensions import TypeAliasType

from shopapi.core.schema import Schema
from shopapi.jobs.rules import FindingRank

Outcome = TypeAliasType("Outcome", Literal["accepted", "declined", "unanswered"])
OutcomeGroup = TypeAliasType("OutcomeGroup", Literal["kind", "rank", "amount"])
# Upper bounds of the groups by amount, in whole units of the shop's currency; the last group has none. A unit without
# decimals, such as the yen, buys about as much as a hundredth of one with them, so there the bounds are hundreds of it.
AMOUNT_BOUNDS = (100, 250, 500, 1000)


@dataclass(frozen=True)
class OutcomeQuestion:
    """One question of an answered or lapsed quote."""

    quote_id: UUID
    kind: str
    rank: FindingRank
    amount_minor: int
    outcome: Outcome


class OutcomeCount(Schema):
    """Number of questions and their amounts by outcome, in one group.

    `value`: first or added; safety, needed or advised; of an amount the upper bound in minor units, "" for none.
    """

    group: OutcomeGroup
    value: str
    accepted: int
    accepted_minor: int
    declined: int
    declined_minor: int
    unanswered: int
    unanswered_minor: int


class QuoteOutcomeRow(Schema):
    """One quote behind the figures."""

    quote_id: UUID
    job_id: UUID
    number: str
    kind: str
    offered_at: AwareDatetime
    decided_at: AwareDatetime | None
    accepted_minor: int
    declined_minor: int
    unanswered_minor: int


class QuoteOutcomesReport(Schema):
    """Quotes offered in a period that were decided or lapsed. Drafts, withdrawn and open ones are not counted.

    `median_minutes`: half of the answers came within so many minutes of the offer; None without an answer.
    """

    zone: str
    first: date
    last: date
    minor_digits: int
    open: int
    median_minutes: int | None
    counts: list[OutcomeCount]
    quotes: list[QuoteOutcomeRow]


def count_outcomes(questions: Sequence[OutcomeQuestion], minor_digits: int) -> list[OutcomeCount]:
    """The counts by kind, rank and amount; groups that nothing falls into are left out.

    Kinds and ranks in their usual order, amounts from small to large. An amount equal to a bound falls below it.
    """
    bounds = [bound * 10 ** (minor_digits or 2) for bound in AMOUNT_BOUNDS]

    def bound_of(amount: int) -> str:
        return next((str(bound) for bound in bounds if amount <= bound), "")

    groups = [
        *_counts("kind", ("first", "added"), questions, [one.kind for one in questions]),
        *_counts("rank", tuple(FindingRank), questions, [one.rank for one in questions]),
        *_counts("amount", (*map(str, bounds), ""), questions, [bound_of(one.amount_minor) for one in questions]),
    ]
    return [each for each in groups if each.accepted + each.declined + each.unanswered]


def _counts(
    group: OutcomeGroup, values: Iterable[str], questions: Sequence[OutcomeQuestion], of: Sequence[str]
) -> list[OutcomeCount]:
    found = []
    for value in values:
        among = [one for one, belongs in zip(questions, of, strict=True) if belongs == value]
        sums = {
            outcome: [one.amount_minor for one in among if one.outcome == outcome]
            for outcome in ("accepted", "declined", "unanswered")
        }
        found.append(
            OutcomeCount(
                group=group,
                value=value,
                **{name: len(amounts) for name, amounts in sums.items()},
                **{f"{name}_minor": sum(amounts) for name, amounts in sums.items()},
            )
        )
    return found


def median_minutes(offers: Iterable[tuple[datetime, datetime | None]]) -> int | None:
    """The median of the minutes from offer to decision, the lower of the two middle ones; None without a decision."""
    waits = sorted(int((decided - offered).total_seconds() // 60) for offered, decided in offers if decided)
    return waits[(len(waits) - 1) // 2] if waits else None
