"""What was agreed on a job and how far its work is beyond that, from the rows."""

from datetime import datetime
from typing import Literal, cast
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.schema import parse
from shopapi.jobs.rules import Decision
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.entry import EntryKind, EntryState
from shopapi.quotes import queries
from shopapi.quotes.models import Line
from shopapi.quotes.queries.successors import successors_on
from shopapi.quotes.rules.agreed import Agreed, AgreedQuote, WorkedTime, agreed_on
from shopapi.quotes.rules.progress import QuotedLabor, finder
from shopapi.quotes.rules.schemas import Shown

COUNTED = (EntryKind.REPAIR, EntryKind.DIAGNOSIS)


def agreed(actor: Actor, job_id: UUID, *, at: datetime) -> Agreed:
    """What the customer agreed to on a job, and how far its work, with running clocks, is beyond that at an instant."""
    quotes, worked = decided_quotes(actor, job_id), _worked(actor, job_id, at)
    known = {line.id for quote in quotes for line in quote.lines}
    is_replaced = any(work.line_id is not None and work.line_id not in known for work in worked)
    successors = successors_on(actor, {job_id} if is_replaced else ())
    return agreed_on(quotes, worked, book=queries.prices_of_shop(actor), successors=successors)


def seconds_by_line(actor: Actor, job_id: UUID, *, at: datetime) -> dict[UUID, int]:
    """The time clocked on a job by accepted line of labor, with running clocks."""
    lines = [
        QuotedLabor(line.id, line.words, line.operation or "", None, accepted=True)
        for quote in decided_quotes(actor, job_id)
        for line in quote.lines
        if line.kind == "labor" and line.id in quote.accepted
    ]
    line_of = finder(lines, successors_on(actor, {job_id}))
    found: dict[UUID, int] = {}
    for work in _worked(actor, job_id, at):
        if (line_id := line_of(work.line_id, work.operation)) is not None:
            found[line_id] = found.get(line_id, 0) + work.seconds
    return found


def decided_quotes(actor: Actor, job_id: UUID) -> list[AgreedQuote]:
    """The decided quotes of a job, each with the lines that were accepted."""
    found = []
    for quote in queries.quotes(actor).filter(job=job_id, state="decided").order_by("offered_at", "id"):
        accepted = Line.objects.filter(shop=actor.shop_id, quote=quote, decided=Decision.ACCEPTED)
        found.append(
            AgreedQuote(
                book=queries.basis_of(quote),
                lines=queries.lines_of(quote),
                accepted=set(accepted.values_list("id", flat=True)),
                discount=queries.discount_of(quote),
                exempt=parse(Shown, quote.shown).exempt,
            )
        )
    return found


def _worked(actor: Actor, job_id: UUID, at: datetime) -> list[WorkedTime]:
    entries = TimeEntry.objects.filter(
        shop=actor.shop_id,
        job=job_id,
        kind__in=COUNTED,
        state__in=[EntryState.OPEN, EntryState.CLOSED],
        started_at__lt=at,
    )
    return [
        WorkedTime(
            kind=cast("Literal['repair', 'diagnosis']", entry.kind),
            member_id=entry.member_id,
            line_id=entry.line_id,
            operation=entry.operation,
            seconds=int((min(entry.ended_at or at, at) - entry.started_at).total_seconds()),
        )
        for entry in entries.order_by("started_at", "id")
    ]
