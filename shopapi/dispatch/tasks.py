"""Background tasks of dispatch; rules are in `rules`."""

import logging
from datetime import datetime, timedelta
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.core.background import claimed
from shopapi.core.clock import now, tomorrow_at
from shopapi.core.feed import lock_shop
from shopapi.core.sweeps import in_shops_due
from shopapi.core.tenancy import in_shop
from shopapi.dispatch import queries
from shopapi.dispatch.services import learned_times, plan_execution, printouts, run_metrics

log = logging.getLogger("shopapi.dispatch")

# A running plan stores its progress several times per second; after this time its worker counts as lost.
SILENT = timedelta(minutes=3)


@shared_task(name="dispatch.make_plan", soft_time_limit=120, time_limit=150, ignore_result=True)
def make_plan(shop_id: str, outbox_id: str) -> None:
    """Execute one plan request. One whose worker is lost is marked failed by `give_up_plans`."""
    with claimed(shop_id, outbox_id) as args:
        plan_id = None if args is None else UUID(args["plan_id"])
    if plan_id is not None:
        plan_execution.execute_plan_request(shop_id=UUID(shop_id), plan_id=plan_id)


@shared_task(name="dispatch.give_up_plans", soft_time_limit=50, time_limit=60, ignore_result=True)
def give_up_plans() -> None:
    """In each shop that waits for a plan, mark plans as failed whose worker was lost."""
    in_shops_due("dispatch.give_up_plans", _give_up_plans, kinds=("plan_request",))


def _give_up_plans(shop_id: UUID) -> datetime | None:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        lost = plan_execution.give_up_plans(actor=actor, before=now() - SILENT)
        unfinished = queries.unfinished_plans(actor).exists()
    if lost:
        log.warning("%s plans were lost with their worker", lost)
    return now() if unfinished else None


@shared_task(name="dispatch.make_printout", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_printout(shop_id: str, outbox_id: str) -> None:
    """Make one printout."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            printouts.make_printout(actor=system_actor(UUID(shop_id)), printout_id=UUID(args["printout_id"]))


@shared_task(name="dispatch.learn_from_days", soft_time_limit=240, time_limit=300, ignore_result=True)
def learn_from_days() -> None:
    """In each shop where something changed or a day began, update the learned times."""
    in_shops_due("dispatch.learn_from_days", _learn_from_days, kinds=("stop", "run", "rig", "yard"))


def _learn_from_days(shop_id: UUID) -> datetime:
    actor = system_actor(shop_id)
    with in_shop(shop_id):
        lock_shop(shop_id)
        learned_times.update_learned_times(actor=actor)
        return tomorrow_at(shop_of(actor).zone)


@shared_task(name="dispatch.recompute_run", soft_time_limit=60, time_limit=90, ignore_result=True)
def recompute_run(shop_id: str, outbox_id: str) -> None:
    """Compute one run that was made by hand."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            run_metrics.recompute_run_metrics(actor=system_actor(UUID(shop_id)), run_id=UUID(args["run_id"]))


@shared_task(name="dispatch.figure_run", soft_time_limit=60, time_limit=90, ignore_result=True)
def recompute_run_by_former_name(shop_id: str, outbox_id: str) -> None:
    """Compute one run: for work that was enqueued by 0.3.0, before the update or while it is under way."""
    recompute_run(shop_id, outbox_id)
