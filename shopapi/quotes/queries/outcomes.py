"""What became of the quotes offered in a period, with a fixed number of queries."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Max

from shopapi.core.actor import Actor
from shopapi.core.money import minor_digits
from shopapi.core.schema import parse
from shopapi.jobs.rules import Decision, FindingRank
from shopapi.labor.queries.hours import Period
from shopapi.quotes.models import Approval, Line, Quote
from shopapi.quotes.queries import kind_of, rule_line
from shopapi.quotes.rules import QuoteTotals
from shopapi.quotes.rules.lines import is_asked, question_of
from shopapi.quotes.rules.outcomes import (
    Outcome,
    OutcomeQuestion,
    QuoteOutcomeRow,
    QuoteOutcomesReport,
    count_outcomes,
    median_minutes,
)

OUTCOMES: dict[str, Outcome] = {Decision.ACCEPTED: "accepted", Decision.DECLINED: "declined"}
RANKS_BY_WEIGHT = tuple(FindingRank)


def quote_outcomes(actor: Actor, period: Period) -> QuoteOutcomesReport:
    """Quotes offered in the period, by what the customers answered."""
    offered = Quote.objects.filter(
        shop=actor.shop_id, offered_at__gte=period.begins_at, offered_at__lt=period.ends_at
    ).select_related("job")
    ended = list(offered.filter(state__in=["decided", "lapsed"], totals__isnull=False).order_by("-offered_at", "id"))
    lines: dict[UUID, list[Line]] = defaultdict(list)
    for line in Line.objects.filter(shop=actor.shop_id, quote__in=[quote.id for quote in ended]):
        lines[line.quote_id].append(line)
    approvals = Approval.objects.filter(shop=actor.shop_id, quote__in=[quote.id for quote in ended], matches=True)
    decided: dict[UUID, datetime] = dict(approvals.values_list("quote").annotate(at=Max("decided_at")))
    questions = {quote.id: _questions(quote, lines[quote.id]) for quote in ended}
    every = [one for each in questions.values() for one in each]
    digits = minor_digits(period.shop.currency)
    return QuoteOutcomesReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        minor_digits=digits,
        open=offered.filter(state="offered").count(),
        median_minutes=median_minutes((quote.offered_at, decided.get(quote.id)) for quote in ended if quote.offered_at),
        counts=count_outcomes(every, digits),
        quotes=[_row(quote, questions[quote.id], decided.get(quote.id)) for quote in ended],
    )


def _questions(quote: Quote, lines: Sequence[Line]) -> list[OutcomeQuestion]:
    totals = parse(QuoteTotals, quote.totals)
    amounts = {line.id: line.amount_minor for line in totals.lines}
    parts: dict[UUID, list[Line]] = defaultdict(list)
    for line in lines:
        figures = rule_line(line)
        if is_asked(figures):
            parts[question_of(figures)].append(line)
    return [
        OutcomeQuestion(
            quote_id=quote.id,
            kind=kind_of(quote),
            rank=min((FindingRank(line.rank) for line in each), key=RANKS_BY_WEIGHT.index),
            amount_minor=sum(amounts.get(line.id, 0) for line in each),
            outcome=OUTCOMES.get(each[0].decided, "unanswered"),
        )
        for each in parts.values()
    ]


def _row(quote: Quote, questions: Sequence[OutcomeQuestion], decided_at: datetime | None) -> QuoteOutcomeRow:
    def sum_of(outcome: Outcome) -> int:
        return sum(one.amount_minor for one in questions if one.outcome == outcome)

    return QuoteOutcomeRow(
        quote_id=quote.id,
        job_id=quote.job_id,
        number=quote.number or quote.mark,
        kind=quote.kind,
        # Every quote that was decided or lapsed was offered first (constraint of the table).
        offered_at=quote.offered_at or quote.created_at,
        decided_at=decided_at,
        accepted_minor=sum_of("accepted"),
        declined_minor=sum_of("declined"),
        unanswered_minor=sum_of("unanswered"),
    )
