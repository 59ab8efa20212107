"""The sweep that creates and closes follow-ups, and their commands: the only writer of this app."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import FollowUpDays, Permission
from shopapi.billing.queries.late_payments import late_payments
from shopapi.billing.services.payment_reminders import remind_of_payment, withhold_payment_reminders
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now, today, tomorrow_at
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.languages import locale_for
from shopapi.core.rows import row_for
from shopapi.core.schema import Target, parse
from shopapi.customers.queries import customers
from shopapi.documents.rules import Figures
from shopapi.labor.queries import long_running, time_entries
from shopapi.notices.services.notices import post_notice
from shopapi.quotes.queries import quotes
from shopapi.quotes.rules.schemas import Shown
from shopapi.reminders import queries
from shopapi.reminders.models import FollowUp, ServiceLook
from shopapi.reminders.rules import FollowUpKind, FollowUpState, PutOff

COLUMNS = "about_kind, about_id, job_id, customer_id, member_id, occasion, due_on, facts"
RESOLVE_SQL = """
    WITH matter ({columns}) AS MATERIALIZED ({matter})
    UPDATE reminders_followup r SET state = 'done'
    WHERE r.shop_id = %(shop)s AND r.kind = %(kind)s AND r.state = 'open' AND NOT EXISTS (
        SELECT FROM matter f WHERE f.about_id = r.about_id AND f.occasion = r.occasion
    )
    RETURNING r.id
"""
CREATE_SQL = """
    WITH matter ({columns}) AS ({matter})
    INSERT INTO reminders_followup (id, shop_id, kind, state, {columns})
    SELECT gen_random_uuid(), %(shop)s, %(kind)s, 'open', {columns} FROM matter f
    WHERE f.due_on <= %(today)s AND NOT EXISTS (
        SELECT FROM reminders_followup r
        WHERE r.shop_id = %(shop)s AND r.kind = %(kind)s AND r.about_id = f.about_id AND r.occasion = f.occasion
    )
    ON CONFLICT DO NOTHING RETURNING id
"""
CLOSE_DISABLED_SQL = """
    UPDATE reminders_followup SET state = 'done'
    WHERE shop_id = %(shop)s AND kind = %(kind)s AND state = 'open' RETURNING id
"""


@dataclass(frozen=True)
class SweepResult:
    """How many follow-ups a sweep created (`created`), and how many it closed (`closed`)."""

    created: int
    closed: int


def sweep_follow_ups(*, actor: Actor) -> SweepResult:
    """Close follow-ups whose matter is over and create the ones that are due, in one shop, one query per kind.

    The caller holds the per-shop write lock. Idempotent.
    """
    shop = shop_of(actor)
    days = FollowUpDays.model_validate(shop.follow_ups)
    created = closed = 0
    _use_hash_joins(enabled=True)
    for kind in FollowUpKind:
        values = _query_values(actor, shop, kind, days)
        if values is None:
            closed += len(_returned_ids(CLOSE_DISABLED_SQL, {"shop": actor.shop_id, "kind": kind.value}))
            continue
        matter = queries.MATTER_SQL[kind]
        over = _returned_ids(RESOLVE_SQL.format(columns=COLUMNS, matter=matter), values)
        closed += len(over)
        if kind == FollowUpKind.PAYMENT_LATE:
            paid = queries.follow_ups(actor).filter(id__in=over).values_list("about_id", flat=True)
            withhold_payment_reminders(actor=actor, invoice_ids=paid)
        fresh = _returned_ids(CREATE_SQL.format(columns=COLUMNS, matter=matter), values)
        created += len(fresh)
        if kind == FollowUpKind.CLOCK_RUNNING:
            _notify_members(actor, shop, fresh)
        if kind == FollowUpKind.QUOTE_UNANSWERED and days.ask_customer:
            _remind_customers(actor, shop, fresh)
        if kind == FollowUpKind.PAYMENT_LATE:
            for follow_up in queries.follow_ups(actor).filter(id__in=fresh):
                remind_of_payment(actor=actor, invoice_id=follow_up.about_id, stage=int(follow_up.occasion))
    _use_hash_joins(enabled=False)
    return SweepResult(created=created, closed=closed)


def next_sweep_at(actor: Actor) -> datetime:
    """When a follow-up may be due though nothing changes: the next day begins, or a clock has run for too long."""
    shop = shop_of(actor)
    started = long_running(actor, now()).values_list("started_at", flat=True)
    too_long = (at + timedelta(hours=shop.clock_hours) for at in started)
    # One that runs for too long already has its follow-up.
    return min((at for at in too_long if at >= now()), default=tomorrow_at(shop.zone))


def _use_hash_joins(*, enabled: bool) -> None:
    """Make PostgreSQL join by hashing instead of nested loops.

    Its statistics may be out of date after tables have grown: it would compare 100,000 follow-ups with 100,000 matters
    one by one.
    """
    with connection.cursor() as cursor:
        cursor.execute(f"SET LOCAL enable_nestloop = {'off' if enabled else 'on'}")


def _query_values(actor: Actor, shop: Shop, kind: FollowUpKind, days: FollowUpDays) -> Mapping[str, Any] | None:
    """The parameters of a kind's query, or None if the shop has disabled the kind."""
    late = _late_payments(actor, shop) if kind == FollowUpKind.PAYMENT_LATE else None
    wanted = late is not None if kind == FollowUpKind.PAYMENT_LATE else getattr(days, kind)
    if wanted is None or wanted is False:
        return None
    running: list[UUID] = []
    if kind == FollowUpKind.CLOCK_RUNNING:
        before = now() - timedelta(hours=shop.clock_hours)
        running = list(long_running(actor, before).values_list("id", flat=True))
    return {
        "shop": actor.shop_id,
        "kind": kind.value,
        "zone": shop.zone,
        "today": today(shop.zone),
        "days": 0 if wanted is True else wanted,
        "running": running,
        "found": json.dumps(_found_matters(actor, shop, kind, wanted)) if late is None else "[]",
        "late": json.dumps(late or []),
    }


FOUND_BY = {
    FollowUpKind.NEXT_SERVICE: queries.service_matters,
    FollowUpKind.ORDER_OVERDUE: queries.overdue_matters,
    FollowUpKind.PROMISE_AT_RISK: queries.risk_matters,
}


def look_at_services(*, actor: Actor, shop: Shop) -> int:
    """Forecast the services of the machines of which something may have changed; returns of how many."""
    due = ServiceLook.objects.filter(shop=actor.shop_id, look_on__lte=today(shop.zone))
    looks = {look.machine_id: look for look in due}
    if not looks:
        return 0
    for machine_id, found in queries.found_services(actor, shop, looks.keys()).items():
        looks[machine_id].matters, looks[machine_id].look_on = found.matters, found.look_on
    ServiceLook.objects.bulk_update(looks.values(), ["matters", "look_on"], batch_size=500)
    return len(looks)


def _found_matters(actor: Actor, shop: Shop, kind: FollowUpKind, days: int) -> list[dict[str, Any]]:
    """The matters of a kind that are not found by SQL alone."""
    if kind == FollowUpKind.NEXT_SERVICE:
        look_at_services(actor=actor, shop=shop)
    find = FOUND_BY.get(kind)
    return find(actor, shop, days) if find else []


def _late_payments(actor: Actor, shop: Shop) -> list[dict[str, Any]] | None:
    """The late invoices as rows for the query; None: the shop has no stages."""
    late = late_payments(actor, today(shop.zone))
    if late is None:
        return None
    names = dict(customers(actor).filter(id__in={one.customer_id for one in late}).values_list("id", "name"))
    figures = queries.figures_of(shop)
    return [
        {
            "id": str(one.bill.id),
            "job_id": None if one.bill.job_id is None else str(one.bill.job_id),
            "customer_id": str(one.customer_id),
            "stage": str(one.stage),
            "due_on": one.due_on.isoformat(),
            "facts": {
                "number": one.bill.number,
                "customer": names[one.customer_id],
                "open": figures.money(one.bill.open_minor),
                "on": None if one.bill.due_on is None else one.bill.due_on.isoformat(),
            },
        }
        for one in late
    ]


def _returned_ids(sql: str, values: Mapping[str, Any]) -> list[UUID]:
    with connection.cursor() as cursor:
        cursor.execute(sql, dict(values))
        return [row[0] for row in cursor.fetchall()]


def _notify_members(actor: Actor, shop: Shop, ids: list[UUID]) -> None:
    """Send a push message to each member whose clock was left running."""
    figures = queries.figures_of(shop)
    for follow_up in queries.follow_ups(actor).filter(id__in=ids):
        started_at = time_entries(actor).get(id=follow_up.about_id).started_at
        post_notice(
            actor=actor,
            channel="push",
            address=str(follow_up.member_id),
            name=str(follow_up.facts["member"]),
            template="clock_running",
            values={"since": figures.time_of_day(started_at), "work": follow_up.facts["work"]},
            about=(follow_up.about_kind, follow_up.about_id),
            dedupe_key=f"clock_running:{follow_up.about_id}",
        )


def _remind_customers(actor: Actor, shop: Shop, ids: list[UUID]) -> None:
    """Mail each customer about an unanswered quote; without a mail address only the follow-up remains."""
    for follow_up in queries.follow_ups(actor).filter(id__in=ids):
        quote = quotes(actor).select_related("job__customer").get(id=follow_up.about_id)
        customer = quote.job.customer
        if not customer.email or quote.totals is None or quote.valid_until is None:
            continue
        # As the quote itself, whatever the customer has chosen since.
        language = parse(Shown, quote.shown).language
        figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
        try:
            post_notice(
                actor=actor,
                channel="email",
                address=customer.email,
                name=customer.name,
                template="quote_reminder",
                values={
                    "customer": customer.person or customer.name,
                    "shop": shop.name,
                    "machine": follow_up.facts["machine"],
                    "job": follow_up.facts["job"],
                    "total": figures.money(quote.totals["total_minor"]),
                    "until": figures.day(quote.valid_until),
                },
                about=("quote", quote.id),
                dedupe_key=f"quote_reminder:{quote.id}",
                language=language,
            )
        except Invalid:
            # The stored mail address is invalid: the follow-up itself asks a person to call.
            continue


@command(needs=Permission.FOLLOW_UP)
def put_off_follow_up(*, actor: Actor, data: PutOff) -> FollowUp:
    """Put a follow-up off to a later day."""
    follow_up = _open_follow_up(actor, data.id)
    earliest: date = today(shop_of(actor).zone)
    if data.until <= earliest:
        raise Invalid("not_later", fields=[FieldError("until", "not_later")])
    follow_up.until = data.until
    follow_up.save(update_fields=["until"])
    record(actor, "follow-up put off", (follow_up.about_kind, follow_up.about_id), until=data.until)
    return follow_up


@command(needs=Permission.FOLLOW_UP)
def drop_follow_up(*, actor: Actor, data: Target) -> FollowUp:
    """Drop a follow-up; the sweep does not create it again."""
    follow_up = _open_follow_up(actor, data.id)
    follow_up.state = FollowUpState.DROPPED
    follow_up.save(update_fields=["state"])
    record(actor, "follow-up dropped", (follow_up.about_kind, follow_up.about_id), kind=follow_up.kind)
    return follow_up


@command(needs=Permission.FOLLOW_UP)
def take_up_follow_up(*, actor: Actor, data: Target) -> FollowUp:
    """Reopen, from today, a follow-up that was dropped or put off."""
    follow_up = row_for(FollowUp, actor, data.id)
    if follow_up.state == FollowUpState.DONE:
        raise Conflict("matter_settled")
    follow_up.state, follow_up.until = FollowUpState.OPEN, None
    follow_up.save(update_fields=["state", "until"])
    record(actor, "follow-up taken up", (follow_up.about_kind, follow_up.about_id), kind=follow_up.kind)
    return follow_up


def _open_follow_up(actor: Actor, follow_up_id: UUID) -> FollowUp:
    follow_up = row_for(FollowUp, actor, follow_up_id)
    if follow_up.state != FollowUpState.OPEN:
        raise Conflict("not_open")
    return follow_up
