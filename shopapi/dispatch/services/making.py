"""From a request to a plan that has passed the check, and from there to runs."""

from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.feed import lock_head
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest


def make_plan(*, actor: Actor, plan_id: UUID) -> PlanRequest | None:
    """Make one plan. The caller holds the transaction. None: there is no such request."""
    lock_head(actor.shop_id)
    plan = queries.plans(actor).filter(id=plan_id).first()
    if plan is None or plan.state != "waiting":
        return plan
    plan.state, plan.error = "failed", "This server cannot plan yet; put the stops on runs by hand."
    plan.save(update_fields=["state", "error"])
    record(actor, "plan failed", ("plan_request", plan.id), error=plan.error)
    return plan
