"""Reads of follow-ups, and one SQL query per kind for the matters that call for one."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import ShopCalendar
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.schema import parse
from shopapi.documents.rules import Figures
from shopapi.machines.queries import DueService, services_of_machines
from shopapi.machines.rules.next_service import season_start
from shopapi.parts.queries.promises import OpenLine, needs_waited_for, supplies_of
from shopapi.parts.rules.business_days import add_business_days, business_days_between
from shopapi.parts.rules.need_by import in_days
from shopapi.parts.rules.promise import chance_of_all
from shopapi.quotes.queries.need_by import hours_after_parts
from shopapi.reminders.models import FollowUp, ServiceLook
from shopapi.reminders.rules import FollowUpKind, FollowUpRow, follow_up_reason

# Columns: about_kind, about_id, job_id, customer_id, member_id, occasion, due_on, facts. A follow-up stays open as long
# as its matter is in the result; it is due from `due_on`. Days are in the shop's time zone.
_JOB = """
    JOIN jobs_job j ON j.shop_id = %(shop)s AND j.id = {job}
    JOIN customers_customer c ON c.shop_id = %(shop)s AND c.id = j.customer_id
    JOIN machines_machine m ON m.shop_id = %(shop)s AND m.id = j.machine_id
"""
_FACTS = (
    "jsonb_build_object('job', coalesce(j.number, j.mark), 'customer', c.name,"
    " 'machine', coalesce(nullif(concat_ws(' ', nullif(m.make, ''), nullif(m.model, '')), ''), m.kind)"
)
_WENT_BACK = """
    SELECT e.subject_id AS job_id, (max(e.at) AT TIME ZONE %(zone)s)::date AS on_day
    FROM core_auditevent e
    WHERE e.shop_id = %(shop)s AND e.event = 'job moved' AND e.details ->> 'after' = 'returned'
    GROUP BY e.subject_id
"""
_MATTER_TEMPLATES: Mapping[FollowUpKind, str] = {
    FollowUpKind.QUOTE_UNANSWERED: """
        SELECT 'quote', q.id, j.id, c.id, NULL::uuid, '', s.on_day + %(days)s,
            $FACTS, 'number', q.number, 'on', s.on_day, 'until', q.valid_until)
        FROM quotes_quote q
            CROSS JOIN LATERAL (SELECT (q.offered_at AT TIME ZONE %(zone)s)::date AS on_day) s
            $JOB(q.job_id)
        WHERE q.shop_id = %(shop)s AND q.state = 'offered'
    """,
    FollowUpKind.QUOTE_LAPSING: """
        SELECT 'quote', q.id, j.id, c.id, NULL::uuid, '', q.valid_until - %(days)s,
            $FACTS, 'number', q.number, 'on', q.valid_until)
        FROM quotes_quote q $JOB(q.job_id)
        WHERE q.shop_id = %(shop)s AND q.state = 'offered' AND q.valid_until IS NOT NULL
    """,
    FollowUpKind.CLOCK_RUNNING: """
        SELECT 'time_entry', t.id, t.job_id, NULL::uuid, t.member_id, '', %(today)s::date,
            jsonb_build_object('member', p.name, 'work', coalesce(j.number, j.mark, t.kind),
                'on', to_char(t.started_at AT TIME ZONE %(zone)s, 'YYYY-MM-DD HH24:MI'))
        FROM labor_timeentry t
            JOIN accounts_member p ON p.shop_id = %(shop)s AND p.id = t.member_id
            LEFT JOIN jobs_job j ON j.shop_id = %(shop)s AND j.id = t.job_id
        WHERE t.shop_id = %(shop)s AND t.id = ANY(%(running)s)
    """,
    FollowUpKind.PROMISED_NEAR: """
        SELECT 'job', j.id, j.id, c.id, NULL::uuid, j.promised_on::text, j.promised_on - %(days)s,
            $FACTS, 'on', j.promised_on)
        FROM jobs_job o $JOB(o.id)
        WHERE o.shop_id = %(shop)s AND o.promised_on IS NOT NULL
            AND o.stage IN ('intake', 'diagnosis', 'repair', 'testing')
    """,
    FollowUpKind.JOB_STILL: """
        SELECT 'job', j.id, j.id, c.id, NULL::uuid, s.on_day::text, s.on_day + %(days)s, $FACTS, 'on', s.on_day)
        FROM jobs_job o $JOB(o.id)
            LEFT JOIN (SELECT job_id, max(changed_at) AS at FROM labor_timeentry WHERE shop_id = %(shop)s GROUP BY 1) t
                ON t.job_id = o.id
            LEFT JOIN (SELECT job_id, max(changed_at) AS at FROM quotes_quote WHERE shop_id = %(shop)s GROUP BY 1) q
                ON q.job_id = o.id
            LEFT JOIN (SELECT job_id, max(changed_at) AS at FROM jobs_finding WHERE shop_id = %(shop)s GROUP BY 1) f
                ON f.job_id = o.id
            CROSS JOIN LATERAL (
                SELECT (greatest(o.changed_at, t.at, q.at, f.at) AT TIME ZONE %(zone)s)::date AS on_day
            ) s
        WHERE o.shop_id = %(shop)s AND o.stage IN ('intake', 'diagnosis', 'repair', 'testing', 'ready')
    """,
    FollowUpKind.CHECK_IN: """
        SELECT 'job', j.id, j.id, c.id, NULL::uuid, b.on_day::text, b.on_day + %(days)s, $FACTS, 'on', b.on_day)
        FROM ($WENT_BACK) b $JOB(b.job_id)
        WHERE j.stage IN ('returned', 'closed') AND b.on_day + %(days)s >= %(today)s::date - 60
    """,
    FollowUpKind.SAFETY_DECLINED: """
        SELECT 'finding', f.id, j.id, c.id, NULL::uuid, '', s.on_day + %(days)s,
            $FACTS, 'on', s.on_day, 'finding', left(f.words, 200))
        FROM jobs_finding f
            CROSS JOIN LATERAL (SELECT (f.changed_at AT TIME ZONE %(zone)s)::date AS on_day) s
            $JOB(f.job_id)
        WHERE f.shop_id = %(shop)s AND f.rank = 'safety' AND f.decided = 'declined' AND NOT m.archived
            AND coalesce((
                SELECT NOT bool_and(i.repaired) FROM jobs_safetyitem i
                WHERE i.shop_id = %(shop)s AND i.finding_id = f.id
            ), true)
    """,
    FollowUpKind.SERVICE_DUE: """
        SELECT 'machine', m.id, j.id, c.id, NULL::uuid, v.on_day::text, v.on_day + %(days)s, $FACTS, 'on', v.on_day)
        FROM (
            SELECT DISTINCT ON (o.machine_id) o.id AS job_id, b.on_day
            FROM ($WENT_BACK) b JOIN jobs_job o ON o.shop_id = %(shop)s AND o.id = b.job_id
            ORDER BY o.machine_id, b.on_day DESC
        ) v $JOB(v.job_id)
        WHERE NOT m.archived AND NOT c.archived AND v.on_day + %(days)s >= %(today)s::date - 180 AND NOT EXISTS (
            SELECT FROM jobs_job n WHERE n.shop_id = %(shop)s AND n.machine_id = m.id
                AND n.stage NOT IN ('returned', 'closed', 'cancelled')
        ) AND NOT EXISTS (
            SELECT FROM reminders_followup f WHERE f.shop_id = %(shop)s AND f.kind = 'next_service'
                AND f.about_id = m.id AND f.state = 'open'
        )
    """,
    FollowUpKind.NEXT_SERVICE: "$FOUND",
    FollowUpKind.ORDER_OVERDUE: "$FOUND",
    FollowUpKind.PROMISE_AT_RISK: "$FOUND",
    # What is open is worked out by the rules of billing, not here.
    FollowUpKind.PAYMENT_LATE: """
        SELECT 'invoice', l.id, l.job_id, l.customer_id, NULL::uuid, l.stage, l.due_on, l.facts
        FROM jsonb_to_recordset(%(late)s::jsonb)
            AS l (id uuid, job_id uuid, customer_id uuid, stage text, due_on date, facts jsonb)
    """,
}
# Matters that were worked out in Python come as JSON.
_FOUND = """
    SELECT about_kind, about_id, job_id, customer_id, member_id, occasion, due_on, facts
    FROM jsonb_to_recordset(%(found)s::jsonb) AS t(about_kind text, about_id uuid, job_id uuid, customer_id uuid,
        member_id uuid, occasion text, due_on date, facts jsonb)
"""


def _expand(sql: str) -> str:
    sql = sql.replace("$FOUND", _FOUND).replace("$WENT_BACK", _WENT_BACK).replace("$FACTS", _FACTS)
    return re.sub(r"\$JOB\((.+?)\)", lambda found: _JOB.format(job=found[1]), sql)


MATTER_SQL: Mapping[FollowUpKind, str] = {kind: _expand(sql) for kind, sql in _MATTER_TEMPLATES.items()}
"""SQL for the matters of each kind; parameters: shop, zone, today, days, running, found, late."""


def service_matters(actor: Actor, shop: Shop, days: int) -> list[dict[str, Any]]:
    """Services that are due, or are with the chance that the shop set before the next season begins.

    One for each machine: of several services last done on the same day, those that are due are named together. It is
    due so many days before the service, or before the season if that is earlier. As found by `look_at_services`.
    """
    found = ServiceLook.objects.filter(shop=actor.shop_id).exclude(matters=[]).order_by("created_at", "id")
    matters = [matter for kept in found.values_list("matters", flat=True) for matter in kept]
    return [
        matter | {"due_on": (date.fromisoformat(matter["due_on"]) - timedelta(days=days)).isoformat()}
        for matter in matters
    ]


@dataclass(frozen=True)
class FoundServices:
    """What is to be kept of the services of a machine: what is due, and the day from which to look again."""

    matters: list[dict[str, Any]]
    look_on: date


def found_services(actor: Actor, shop: Shop, machine_ids: Collection[UUID]) -> dict[UUID, FoundServices]:
    """What is due of some machines today, and the next day on which that may change with nothing new being known.

    That is the day on which the next of the services is due, or the one on which the season begins: chances are then
    for the season after.
    """
    calendar = parse(ShopCalendar, shop.calendar)
    on_day = today(shop.zone)
    month, day = (int(part) for part in calendar.season_from.split("-"))
    season = season_start(on_day, month, day)
    groups: dict[tuple[UUID, date], list[DueService]] = {}
    later: dict[UUID, list[date]] = {machine_id: [season] for machine_id in machine_ids}
    for one in services_of_machines(actor, season, machine_ids):
        due_on, chance = one.forecast.due_on, one.forecast.chance or 0
        if due_on is not None and (due_on <= on_day or chance * 100 >= calendar.service_percent):
            groups.setdefault((one.machine.id, one.done_on), []).append(one)
        elif due_on is not None:
            later[one.machine.id].append(due_on)
    matters: dict[UUID, list[dict[str, Any]]] = {}
    for (machine_id, _), services in groups.items():
        matters.setdefault(machine_id, []).append(_service_matter(services, season))
    return {machine_id: FoundServices(matters.get(machine_id, []), min(days)) for machine_id, days in later.items()}


def _service_matter(services: list[DueService], season: date) -> dict[str, Any]:
    first = min(services, key=lambda one: (one.forecast.due_on or season, one.entry.words))
    machine, due_on = first.machine, first.forecast.due_on or season
    facts = {
        "customer": machine.customer.name,
        "machine": " ".join(part for part in (machine.make, machine.model) if part) or machine.kind,
        "what": ", ".join(sorted(one.entry.words for one in services)),
        "on": due_on.isoformat(),
        "last": first.done_on.isoformat(),
        "hours": None if first.entry.hours is None else f"{first.entry.hours.normalize():f}",
        "months": first.entry.months,
        "from": "months" if first.forecast.by == "months" else first.forecast.basis,
    }
    return {
        "about_kind": "machine",
        "about_id": str(machine.id),
        "customer_id": str(machine.customer_id),
        "occasion": first.done_on.isoformat(),
        "due_on": min(due_on, season).isoformat(),
        "facts": facts,
    }


def overdue_matters(actor: Actor, shop: Shop, days: int) -> list[dict[str, Any]]:
    """Orders of which something should be here and is not, so many days after the day of the first such line."""
    supplies = supplies_of(actor, shop)
    late: dict[UUID, list[tuple[date, str, OpenLine]]] = {}
    for open_line in supplies.lines:
        expected = supplies.expected_on(open_line)
        if expected and expected[0] < supplies.today:
            late.setdefault(open_line.line.order_id, []).append((*expected, open_line))
    found = []
    for order_id, lines in late.items():
        on, said_by, first = min(lines, key=lambda one: one[0])
        facts = {
            "order": str(first.line.order),
            "supplier": first.line.order.supplier.name,
            "what": ", ".join(str(line.line) for _, _, line in lines),
            "on": on.isoformat(),
            "percent": supplies.calendar.promise_percent,
            "from": said_by,
        }
        about = {"about_kind": "part_order", "about_id": str(order_id), "occasion": on.isoformat()}
        found.append({**about, "due_on": (on + timedelta(days=days)).isoformat(), "facts": facts})
    return found


def risk_matters(actor: Actor, shop: Shop, days: int) -> list[dict[str, Any]]:
    """Promised jobs whose parts come in time with too small a chance, at most so many days ahead.

    Parts must be there so many business days earlier as the accepted work after them takes. Where nothing can be said
    of a part, a promise is at risk once that day has come.
    """
    supplies = supplies_of(actor, shop)
    waited_for = needs_waited_for(actor)
    hours = hours_after_parts(actor, [need for needs in waited_for.values() for need in needs])
    found = []
    for job_id, needs in waited_for.items():
        job = needs[0].job
        need_by = add_business_days(
            job.promised_on, -in_days(max(hours[need.id] for need in needs)), supplies.open_days
        )
        left = business_days_between(supplies.today, need_by, supplies.open_days)
        parts = [supplies.expected(need) for need in needs]
        known = [part for part in parts if part is not None]
        chance = chance_of_all(known, left) if len(known) == len(parts) else None
        if need_by < supplies.today and chance is not None:
            chance = 0.0
        if (chance is None and left > 0) or (chance or 0) * 100 >= supplies.calendar.risk_percent:
            continue
        facts = {
            "job": job.number or job.mark,
            "customer": job.customer.name,
            "machine": " ".join(part for part in (job.machine.make, job.machine.model) if part) or job.machine.kind,
            "what": ", ".join(need.description for need in needs),
            "on": job.promised_on.isoformat(),
            "percent": None if chance is None else round(chance * 100),
            "from": "unknown" if chance is None else "chance",
        }
        about = {"about_kind": "job", "about_id": str(job_id), "job_id": str(job_id)}
        due_on = (job.promised_on - timedelta(days=days)).isoformat()
        occasion = {"customer_id": str(job.customer_id), "occasion": job.promised_on.isoformat(), "due_on": due_on}
        found.append({**about, **occasion, "facts": facts})
    return found


def follow_ups(actor: Actor) -> QuerySet[FollowUp]:
    return FollowUp.objects.filter(shop=actor.shop_id).select_related("shop")


def figures_of(shop: Shop) -> Figures:
    return Figures(shop.locale, shop.currency, shop.zone)


def show_follow_up(actor: Actor, follow_up: FollowUp) -> FollowUpRow:
    shown = {name: getattr(follow_up, name) for name in FollowUpRow.model_fields if name != "why"}
    why = follow_up_reason(follow_up.kind, follow_up.facts, figures_of(follow_up.shop))
    return FollowUpRow.model_validate(shown | {"why": why})
