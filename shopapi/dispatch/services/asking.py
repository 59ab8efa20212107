"""Asking for a plan: the row that every device watches, and the promise that a worker makes it."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Forbidden, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest
from shopapi.dispatch.rules.records import Cause, NewPlan
from shopapi.dispatch.rules.states import plan_may_become

SECONDS = 5
SUPERSEDED = "Something else changed meanwhile; the rest of the day is planned anew with that."


@command(needs=Permission.PLAN_OWN_DAY)
def request_plan(*, actor: Actor, data: NewPlan) -> PlanRequest:
    """Ask for a plan of one day or several; a driver for the rest of today, on their own run."""
    if len(set(data.days)) != len(data.days):
        words = "Name each day once."
        raise Invalid("invalid", words, fields=[FieldError("days", "day_twice", words)])
    present = today(shop_of(actor).zone)
    if min(data.days) < present:
        words = "A day that is over cannot be planned; take today or a later one."
        raise Invalid("invalid", words, fields=[FieldError("days", "day_over", words)])
    if data.from_now and data.days != [present]:
        words = "Only today can be planned from where the rigs are."
        raise Invalid("invalid", words, fields=[FieldError("days", "not_today", words)])
    driver_id = None
    if not actor.may(Permission.PLAN_RUNS):
        driver_id = actor.member_id
        if not data.from_now or driver_id is None or not queries.drives(actor, driver_id, present):
            words = "The office plans runs. Whoever drives one today may have the rest of that day planned anew."
            raise Forbidden("not_your_day", words, fields=[FieldError("days", "not_your_day", words)])
    return ask_for_plan(
        actor,
        data.id,
        sorted(data.days),
        cause="asked",
        seed=data.seed,
        seconds=data.seconds,
        rounds=data.rounds,
        from_now=data.from_now,
        driver_id=driver_id,
    )


def ask_for_plan(
    actor: Actor,
    plan_id: UUID,
    days: Sequence[date],
    *,
    cause: Cause,
    from_now: bool,
    seed: int = 0,
    seconds: int = SECONDS,
    rounds: int | None = None,
    driver_id: UUID | None = None,
) -> PlanRequest:
    """Write the request down and promise the work. The caller holds the transaction.

    `driver_id`: only this member's run may change, as long as that leaves nothing out.
    """
    refuse_known_id(PlanRequest, plan_id)
    if from_now:
        driver_id = _supersede(actor, driver_id)
    plan = PlanRequest.objects.create(
        id=plan_id,
        shop_id=actor.shop_id,
        asked_by_id=actor.member_id,
        driver_id=driver_id,
        days=list(days),
        seed=seed,
        seconds=seconds,
        rounds=rounds,
        from_now=from_now,
        cause=cause,
    )
    record(actor, "plan asked for", ("plan_request", plan.id), days=list(days), cause=cause)
    after_commit("dispatch.make_plan", shop_id=actor.shop_id, plan_id=plan.id)
    return plan


def _supersede(actor: Actor, driver_id: UUID | None) -> UUID | None:
    """Stop every planning of the rest of today that is not done: its answer would be outdated. Whose run is left."""
    for plan in queries.plans(actor).select_for_update().filter(from_now=True, state__in=["waiting", "running"]):
        if plan.driver_id != driver_id:
            driver_id = None
        plan.state, plan.error = "cancelled", SUPERSEDED
        plan.save(update_fields=["state", "error"])
        record(actor, "plan cancelled", ("plan_request", plan.id), error=SUPERSEDED)
    return driver_id


def plan_today_anew(
    actor: Actor, plan_id: UUID | None, cause: Cause, *, driver_id: UUID | None = None
) -> PlanRequest | None:
    """Ask for the rest of today after something that changes it; nothing is asked of a shop that does not plan yet.

    It follows from what happened, so it needs no permission of its own. `driver_id` as in `ask_for_plan`.
    """
    if plan_id is None and not queries.yards(actor).filter(lat__isnull=False).exists():
        return None
    present = today(shop_of(actor).zone)
    return ask_for_plan(actor, plan_id or uuid7(), [present], cause=cause, from_now=True, driver_id=driver_id)


def own_day(actor: Actor) -> UUID | None:
    """The member whose run alone is planned anew on their word: the one who drives it and does not plan for others."""
    mine = actor.member_id
    if mine is None or actor.may(Permission.PLAN_RUNS) or not actor.may(Permission.PLAN_OWN_DAY):
        return None
    return mine if queries.drives(actor, mine, today(shop_of(actor).zone)) else None


@command(needs=Permission.PLAN_OWN_DAY)
def cancel_plan(*, actor: Actor, data: Target) -> PlanRequest:
    """Stop a planning that is not done yet; a driver one of their own."""
    plan = queries.plan_for(actor, data.id)
    if plan.asked_by_id != actor.member_id:
        actor.require(Permission.PLAN_RUNS)
    if plan.state == "cancelled":
        return plan
    if not plan_may_become(plan.state, "cancelled"):
        words = "This planning is over already."
        raise Conflict("plan_over", words, fields=[FieldError("id", "plan_over", words)])
    plan.state = "cancelled"
    plan.save(update_fields=["state"])
    record(actor, "plan cancelled", ("plan_request", plan.id))
    return plan
