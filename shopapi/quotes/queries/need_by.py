"""By when the parts of jobs are needed, and on which day each must be ordered at the latest.

Twin: `pwa/src/store/needBy.ts`.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.parts.models import PartNeed
from shopapi.parts.queries.promises import needs_waited_for, supplies_of
from shopapi.parts.rules.need_by import AcceptedWork, hours_from, latest_order_day
from shopapi.parts.rules.needs import PartState
from shopapi.quotes.models import Line
from shopapi.quotes.rules.parts_to_order import PartsToOrder, PartToOrder


def hours_after_parts(actor: Actor, needs: Iterable[PartNeed]) -> dict[UUID, Decimal]:
    """The hours of accepted work that come after each part, by need; without a work of its own, all of its job."""
    by_job: dict[UUID, list[PartNeed]] = defaultdict(list)
    for need in needs:
        by_job[need.job_id].append(need)
    accepted = Line.objects.filter(shop=actor.shop_id, quote__job__in=list(by_job), decided="accepted")
    lines: dict[UUID, list[Line]] = defaultdict(list)
    order = ("quote__created_at", "quote", "position", "id")
    for line in accepted.exclude(quote__state="replaced").select_related("quote").order_by(*order):
        lines[line.quote.job_id].append(line)
    found: dict[UUID, Decimal] = {}
    for job_id, waited_for in by_job.items():
        found |= _of_job(waited_for, lines[job_id])
    return found


def _of_job(needs: Sequence[PartNeed], lines: Sequence[Line]) -> dict[UUID, Decimal]:
    work_of: Mapping[UUID, UUID | None] = {line.id: line.belongs_to_id for line in lines if line.kind == "part"}
    labor = [line for line in lines if line.kind == "labor"]
    known = {line.id for line in labor}
    of_need = {need.id: work_of.get(need.line_id) if need.line_id else None for need in needs}
    waiting = set(of_need.values())
    hours = hours_from([AcceptedWork(line.id, line.hours or Decimal(0), line.id in waiting) for line in labor])
    everything = sum((line.hours or Decimal(0) for line in labor), start=Decimal(0))
    return {need_id: hours[work] if work in known else everything for need_id, work in of_need.items()}


def parts_to_order(actor: Actor) -> PartsToOrder:
    """The parts that promised jobs want and nobody ordered, the most urgent first."""
    supplies = supplies_of(actor, shop_of(actor))
    needs = [need for waited in needs_waited_for(actor).values() for need in waited]
    hours = hours_after_parts(actor, needs)
    wanted = [need for need in needs if need.state == PartState.WANTED and need.id not in supplies.to_come]
    rows = []
    for need in wanted:
        lead_time = supplies.lead_times.get(need.supplier_id) if need.supplier_id else None
        lead_days = None if lead_time is None else lead_time.days_for(supplies.calendar.promise_percent / 100)
        by = None
        if lead_days is not None:
            by = latest_order_day(need.job.promised_on, hours[need.id], lead_days, supplies.open_days)
        rows.append(
            PartToOrder(
                need_id=need.id,
                job_id=need.job_id,
                supplier_id=need.supplier_id,
                number=need.superseded_by or need.number,
                description=need.description,
                promised_on=need.job.promised_on,
                hours_after=hours[need.id],
                lead_days=lead_days,
                order_by=by,
                order_today=by is not None and by <= supplies.today,
            )
        )
    return PartsToOrder(parts=sorted(rows, key=lambda row: (row.order_by or date.max, row.promised_on, row.need_id)))
