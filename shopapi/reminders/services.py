"""Follow-ups swept, put off and dropped: the only writer of this app."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db import connection

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import FollowUpDays, Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now, today
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.money import minor_digits, plain_amount
from shopapi.core.shape import Target
from shopapi.labor.queries import left_running
from shopapi.notices.services.posting import post_notice
from shopapi.quotes.queries import quotes
from shopapi.reminders import queries
from shopapi.reminders.models import FollowUp
from shopapi.reminders.rules import FollowUpState, Kind, PutOff

COLUMNS = "about_kind, about_id, job_id, customer_id, member_id, occasion, due_on, facts"
SETTLE = """
    WITH matter ({columns}) AS MATERIALIZED ({matter})
    UPDATE reminders_followup r SET state = 'done'
    WHERE r.shop_id = %(shop)s AND r.kind = %(kind)s AND r.state = 'open' AND NOT EXISTS (
        SELECT FROM matter f WHERE f.about_id = r.about_id AND f.occasion = r.occasion
    )
    RETURNING r.id
"""
FIRE = """
    WITH matter ({columns}) AS ({matter})
    INSERT INTO reminders_followup (id, shop_id, kind, state, {columns})
    SELECT gen_random_uuid(), %(shop)s, %(kind)s, 'open', {columns} FROM matter f
    WHERE f.due_on <= %(today)s AND NOT EXISTS (
        SELECT FROM reminders_followup r
        WHERE r.shop_id = %(shop)s AND r.kind = %(kind)s AND r.about_id = f.about_id AND r.occasion = f.occasion
    )
    ON CONFLICT DO NOTHING RETURNING id
"""
END_UNWANTED = """
    UPDATE reminders_followup SET state = 'done'
    WHERE shop_id = %(shop)s AND kind = %(kind)s AND state = 'open' RETURNING id
"""


@dataclass(frozen=True)
class Swept:
    """How many follow-ups a sweep made, and how many it settled."""

    made: int
    settled: int


def sweep_follow_ups(*, actor: Actor) -> Swept:
    """Settle what is over and make what has become due, in one shop, each kind as one set.

    The caller holds the shop's place in line. Sweeping again makes nothing twice.
    """
    shop = shop_of(actor)
    days = FollowUpDays.model_validate(shop.follow_ups)
    made = settled = 0
    _compare_sets(whole=True)
    for kind in Kind:
        values = _values(actor, shop, kind, days)
        if values is None:
            settled += len(_run(END_UNWANTED, {"shop": actor.shop_id, "kind": kind.value}))
            continue
        matter = queries.MATTERS[kind]
        settled += len(_run(SETTLE.format(columns=COLUMNS, matter=matter), values))
        fresh = _run(FIRE.format(columns=COLUMNS, matter=matter), values)
        made += len(fresh)
        if kind == Kind.CLOCK_RUNNING:
            _tell_members(actor, fresh)
        if kind == Kind.QUOTE_UNANSWERED and days.ask_owner:
            _ask_owners(actor, shop, fresh)
    _compare_sets(whole=False)
    return Swept(made=made, settled=settled)


def _compare_sets(*, whole: bool) -> None:
    """Have the database compare whole sets by hashing, not each row with all others.

    It takes the sets for small while their tables have grown since it last counted them, and 100,000 follow-ups would
    be held against 100,000 matters one by one.
    """
    with connection.cursor() as cursor:
        cursor.execute(f"SET LOCAL enable_nestloop = {'off' if whole else 'on'}")


def _values(actor: Actor, shop: Shop, kind: Kind, days: FollowUpDays) -> Mapping[str, Any] | None:
    """What a kind's set is asked with, or None when the shop does not want it."""
    wanted = getattr(days, kind)
    if wanted is None or wanted is False:
        return None
    before = now() - timedelta(hours=shop.clock_hours)
    return {
        "shop": actor.shop_id,
        "kind": kind.value,
        "zone": shop.zone,
        "today": today(shop.zone),
        "days": 0 if wanted is True else wanted,
        "running": list(left_running(actor, before).values_list("id", flat=True)) if kind == Kind.CLOCK_RUNNING else [],
    }


def _run(sql: str, values: Mapping[str, Any]) -> list[UUID]:
    with connection.cursor() as cursor:
        cursor.execute(sql, dict(values))
        return [row[0] for row in cursor.fetchall()]


def _tell_members(actor: Actor, ids: list[UUID]) -> None:
    """A clock left running is told on the member's own devices."""
    for follow_up in queries.follow_ups(actor).filter(id__in=ids):
        post_notice(
            actor=actor,
            channel="push",
            address=str(follow_up.member_id),
            name=str(follow_up.facts["member"]),
            template="clock_running",
            values={"since": follow_up.facts["on"], "work": follow_up.facts["work"]},
            about=(follow_up.about_kind, follow_up.about_id),
            dedupe_key=f"clock_running:{follow_up.about_id}",
        )


def _ask_owners(actor: Actor, shop: Shop, ids: list[UUID]) -> None:
    """A quote that went quiet is asked about by mail; without an address it stays with the shop."""
    for follow_up in queries.follow_ups(actor).filter(id__in=ids):
        quote = quotes(actor).select_related("job__customer").get(id=follow_up.about_id)
        customer = quote.job.customer
        if not customer.email or quote.totals is None:
            continue
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
                    "total": _amount(quote.totals["total_minor"], shop.currency),
                    "until": str(quote.valid_until or ""),
                },
                about=("quote", quote.id),
                dedupe_key=f"quote_reminder:{quote.id}",
            )
        except Invalid:
            # What is written as the address is none: the follow-up itself tells a person to call.
            continue


def _amount(minor: int, currency: str) -> str:
    return f"{plain_amount(minor, minor_digits(currency))} {currency}"


@command(needs=Permission.FOLLOW_UP)
def put_off_follow_up(*, actor: Actor, data: PutOff) -> FollowUp:
    """Come back to something on a later day."""
    follow_up = _open(actor, data.id)
    earliest: date = today(shop_of(actor).zone)
    if data.until <= earliest:
        words = "Choose a day after today."
        raise Invalid("not_later", words, fields=[FieldError("until", "not_later", words)])
    follow_up.until = data.until
    follow_up.save(update_fields=["until"])
    record(actor, "follow-up put off", (follow_up.about_kind, follow_up.about_id), until=data.until)
    return follow_up


@command(needs=Permission.FOLLOW_UP)
def drop_follow_up(*, actor: Actor, data: Target) -> FollowUp:
    """Drop something to come back to; it does not come again."""
    follow_up = _open(actor, data.id)
    follow_up.state = FollowUpState.DROPPED
    follow_up.save(update_fields=["state"])
    record(actor, "follow-up dropped", (follow_up.about_kind, follow_up.about_id), kind=follow_up.kind)
    return follow_up


@command(needs=Permission.FOLLOW_UP)
def take_up_follow_up(*, actor: Actor, data: Target) -> FollowUp:
    """Take up again, from today, what was dropped or put off."""
    follow_up = queries.follow_up_for(actor, data.id)
    if follow_up.state == FollowUpState.DONE:
        raise Conflict("matter_settled", "What this was about is settled.")
    follow_up.state, follow_up.until = FollowUpState.OPEN, None
    follow_up.save(update_fields=["state", "until"])
    record(actor, "follow-up taken up", (follow_up.about_kind, follow_up.about_id), kind=follow_up.kind)
    return follow_up


def _open(actor: Actor, follow_up_id: UUID) -> FollowUp:
    follow_up = queries.follow_up_for(actor, follow_up_id)
    if follow_up.state != FollowUpState.OPEN:
        raise Conflict("not_open", "This was settled or dropped already.")
    return follow_up
