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
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest
from shopapi.dispatch.rules.records import Cause, NewPlan
from shopapi.dispatch.rules.states import plan_may_become

SECONDS = 5


@command(needs=Permission.PLAN_RUNS)
def request_plan(*, actor: Actor, data: NewPlan) -> PlanRequest:
    """Ask for a plan of one day or several."""
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
    return ask_for_plan(
        actor,
        data.id,
        sorted(data.days),
        cause="asked",
        seed=data.seed,
        seconds=data.seconds,
        rounds=data.rounds,
        from_now=data.from_now,
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
) -> PlanRequest:
    """Write the request down and promise the work. The caller holds the transaction."""
    refuse_known_id(PlanRequest, plan_id)
    plan = PlanRequest.objects.create(
        id=plan_id,
        shop_id=actor.shop_id,
        asked_by_id=actor.member_id,
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


def plan_today_anew(actor: Actor, plan_id: UUID | None, cause: Cause) -> None:
    """Ask for the rest of today, when the command that changed it brought an id for that."""
    if plan_id is not None:
        ask_for_plan(actor, plan_id, [today(shop_of(actor).zone)], cause=cause, from_now=True)


@command(needs=Permission.PLAN_RUNS)
def cancel_plan(*, actor: Actor, data: Target) -> PlanRequest:
    """Stop a planning that is not done yet."""
    plan = queries.plan_for(actor, data.id)
    if plan.state == "cancelled":
        return plan
    if not plan_may_become(plan.state, "cancelled"):
        words = "This planning is over already."
        raise Conflict("plan_over", words, fields=[FieldError("id", "plan_over", words)])
    plan.state = "cancelled"
    plan.save(update_fields=["state"])
    record(actor, "plan cancelled", ("plan_request", plan.id))
    return plan
