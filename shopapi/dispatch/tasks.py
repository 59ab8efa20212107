"""Background tasks of dispatch; rules are in `rules`."""

import logging
from datetime import timedelta
from uuid import UUID

from celery import shared_task

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.core.background import claimed, in_each_shop
from shopapi.core.clock import now
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
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
    """In each shop, mark plans as failed whose worker was lost."""
    in_each_shop(every_shop(), _give_up_plans)


def _give_up_plans(shop_id: UUID) -> None:
    with in_shop(shop_id):
        lock_shop(shop_id)
        lost = plan_execution.give_up_plans(actor=system_actor(shop_id), before=now() - SILENT)
    if lost:
        log.warning("%s plans were lost with their worker", lost)


@shared_task(name="dispatch.make_printout", soft_time_limit=60, time_limit=90, ignore_result=True)
def make_printout(shop_id: str, outbox_id: str) -> None:
    """Make one printout."""
    with claimed(shop_id, outbox_id) as args:
        if args is not None:
            printouts.make_printout(actor=system_actor(UUID(shop_id)), printout_id=UUID(args["printout_id"]))


@shared_task(name="dispatch.learn_from_days", soft_time_limit=240, time_limit=300, ignore_result=True)
def learn_from_days() -> None:
    """In each shop, update the learned times."""
    in_each_shop(every_shop(), _learn_from_days)


def _learn_from_days(shop_id: UUID) -> None:
    with in_shop(shop_id):
        lock_shop(shop_id)
        learned_times.update_learned_times(actor=system_actor(shop_id))


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
