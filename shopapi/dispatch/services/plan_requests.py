"""Plan requests: the row that every device sees, and the outbox entry by which a worker executes it."""

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
from shopapi.core.errors import Conflict, FieldError, Forbidden, Invalid, Reason, pack
from shopapi.core.ids import uuid7
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest
from shopapi.dispatch.rules.schemas.plan import NewPlan, PlanCause
from shopapi.dispatch.rules.states import plan_may_become

SECONDS = 5


@command(needs=Permission.PLAN_OWN_DAY, creates_row=True)
def request_plan(*, actor: Actor, data: NewPlan) -> PlanRequest:
    """Ask for a plan of one day or several; drivers, for the rest of today on their own run."""
    if len(set(data.days)) != len(data.days):
        raise Invalid("invalid", fields=[FieldError("days", "day_twice")])
    present = today(shop_of(actor).zone)
    if min(data.days) < present:
        raise Invalid("invalid", fields=[FieldError("days", "day_over", message="day_to_plan_over")])
    if data.from_now and data.days != [present]:
        raise Invalid("invalid", fields=[FieldError("days", "not_today")])
    driver_id = None
    if not actor.may(Permission.PLAN_RUNS):
        driver_id = actor.member_id
        if not data.from_now or driver_id is None or not queries.drives(actor, driver_id, present):
            raise Forbidden("not_your_day", fields=[FieldError("days", "not_your_day")])
    return create_plan_request(
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


def create_plan_request(
    actor: Actor,
    plan_id: UUID,
    days: Sequence[date],
    *,
    cause: PlanCause,
    from_now: bool,
    seed: int = 0,
    seconds: int = SECONDS,
    rounds: int | None = None,
    driver_id: UUID | None = None,
) -> PlanRequest:
    """Store the request and its outbox entry. The caller holds the transaction.

    `driver_id`: only this member's run may change, as long as that leaves no stop out.
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
    """Cancel every open request for the rest of today, whose answer would be outdated. Returns whose run may change."""
    for plan in queries.plans(actor).select_for_update().filter(from_now=True, state__in=["waiting", "running"]):
        if plan.driver_id != driver_id:
            driver_id = None
        plan.state, plan.error = "cancelled", pack(Reason("plan_superseded"))
        plan.save(update_fields=["state", "error"])
        record(actor, "plan cancelled", ("plan_request", plan.id), error=plan.error)
    return driver_id


def replan_today(
    actor: Actor, plan_id: UUID | None, cause: PlanCause, *, driver_id: UUID | None = None
) -> PlanRequest | None:
    """Request a plan of the rest of today after a change; does nothing in a shop that does not plan yet.

    No permission is needed, since it follows from another command. `driver_id` as in `create_plan_request`.
    """
    if plan_id is None and not queries.yards(actor).filter(lat__isnull=False).exists():
        return None
    present = today(shop_of(actor).zone)
    return create_plan_request(actor, plan_id or uuid7(), [present], cause=cause, from_now=True, driver_id=driver_id)


def own_run_driver(actor: Actor) -> UUID | None:
    """The acting driver if they may not plan for others, so that only their own run is planned again; else None."""
    mine = actor.member_id
    if mine is None or actor.may(Permission.PLAN_RUNS) or not actor.may(Permission.PLAN_OWN_DAY):
        return None
    return mine if queries.drives(actor, mine, today(shop_of(actor).zone)) else None


@command(needs=Permission.PLAN_OWN_DAY, rest_name="cancel")
def cancel_plan(*, actor: Actor, data: Target) -> PlanRequest:
    """Cancel a plan request that is not done yet; drivers, their own."""
    plan = row_for(PlanRequest, actor, data.id)
    if plan.asked_by_id != actor.member_id:
        actor.require(Permission.PLAN_RUNS)
    if plan.state == "cancelled":
        return plan
    if not plan_may_become(plan.state, "cancelled"):
        raise Conflict("plan_over", fields=[FieldError("id", "plan_over")])
    plan.state = "cancelled"
    plan.save(update_fields=["state"])
    record(actor, "plan cancelled", ("plan_request", plan.id))
    return plan
