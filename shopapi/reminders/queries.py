"""Reads of follow-ups, and one SQL query per kind for the matters that call for one."""

import re
from collections.abc import Mapping

from django.db.models import QuerySet

from shopapi.accounts.models import Shop
from shopapi.core.actor import Actor
from shopapi.documents.rules import Figures
from shopapi.reminders.models import FollowUp
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
        )
    """,
}


def _expand(sql: str) -> str:
    sql = sql.replace("$WENT_BACK", _WENT_BACK).replace("$FACTS", _FACTS)
    return re.sub(r"\$JOB\((.+?)\)", lambda found: _JOB.format(job=found[1]), sql)


MATTER_SQL: Mapping[FollowUpKind, str] = {kind: _expand(sql) for kind, sql in _MATTER_TEMPLATES.items()}
"""SQL for the matters of each kind; parameters: shop, zone, today, days, running."""


def follow_ups(actor: Actor) -> QuerySet[FollowUp]:
    return FollowUp.objects.filter(shop=actor.shop_id).select_related("shop")


def figures_of(shop: Shop) -> Figures:
    return Figures(shop.locale, shop.currency, shop.zone)


def show_follow_up(actor: Actor, follow_up: FollowUp) -> FollowUpRow:
    shown = {name: getattr(follow_up, name) for name in FollowUpRow.model_fields if name != "why"}
    why = follow_up_reason(follow_up.kind, follow_up.facts, figures_of(follow_up.shop))
    return FollowUpRow.model_validate(shown | {"why": why})
