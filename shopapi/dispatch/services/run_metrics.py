"""Compute runs made by hand, with the same check as plans."""

from datetime import timedelta
from typing import get_args
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, DomainError
from shopapi.core.feed import lock_shop
from shopapi.core.rows import row_for
from shopapi.core.schema import to_json
from shopapi.dispatch import queries
from shopapi.dispatch.models import Run
from shopapi.dispatch.queries.planning_input import load_planning_input
from shopapi.dispatch.rules.left_out import names_of, rule_reason
from shopapi.dispatch.rules.plan_view import RunStart, planned_runs
from shopapi.dispatch.rules.planning_model import rig_key
from shopapi.dispatch.rules.schemas.plan import PlannedRun
from shopapi.dispatch.rules.schemas.run import CautionRow, RefusalCode
from shopapi.dispatch.services.travel_times import load_travel_matrices
from shopapi.planner.check import CheckResult, Schedule, check_route

# A run of today that was made late is still computed from the beginning of its shift.
A_DAY = timedelta(days=1)


def recompute_run_metrics(*, actor: Actor, run_id: UUID) -> None:
    """Compute times, loads and cautions of a run made by hand, or store which rule it breaks.

    The caller holds the transaction. A run that is locked, under way or over is not changed. Raises Conflict
    `run_moved` when it changed meanwhile: the outbox entry stays pending and is retried.
    """
    run = queries.runs(actor).filter(id=run_id, state="planned").first()
    if run is None:
        return
    planned, cautions = _compute(actor, run)
    lock_shop(actor.shop_id)
    if row_for(Run, actor, run_id).changed_at != run.changed_at:
        raise Conflict("run_moved")
    run.cautions = to_json(cautions if planned is None else planned.cautions)
    run.margins, run.decks = ([], []) if planned is None else (to_json(planned.margins), to_json(planned.decks))
    run.legs = [] if planned is None else to_json(planned.legs)
    run.leaves_at = None if planned is None else planned.leaves_at
    run.home_at = None if planned is None else planned.home_at
    run.metres = None if planned is None else planned.metres
    run.drive_seconds = None if planned is None else planned.drive_seconds
    run.save()
    times = {} if planned is None else {stop.stop_id: stop for stop in planned.stops}
    for stop in queries.stops_of(run):
        planned_stop = times.get(stop.id)
        stop.arrives_from = None if planned_stop is None else planned_stop.arrives_from
        stop.arrives_at = None if planned_stop is None else planned_stop.arrives_at
        stop.arrives_to = None if planned_stop is None else planned_stop.arrives_to
        stop.leaves_at = None if planned_stop is None else planned_stop.leaves_at
        stop.save(update_fields=["arrives_from", "arrives_at", "arrives_to", "leaves_at"])


def _compute(actor: Actor, run: Run) -> tuple[PlannedRun | None, list[CautionRow]]:
    """The run with the times of the check, or the first rule that it breaks."""
    try:
        planning_input = load_planning_input(actor, [run.day], from_now=False, now=now() - A_DAY)
        planning_model = planning_input.planning_model
        key = rig_key(str(run.rig_id), run.day)
        route = next((route for route in planning_input.routes if route.rig == key), None)
        if route is None:
            return None, []
        out = [kept for kept in planning_model.excluded if kept.stop in route.keys]
        if out:
            return None, [CautionRow.because(kept.code, kept.reason, stop_id=UUID(kept.stop)) for kept in out]
        problem = planning_model.problem(
            load_travel_matrices(planning_model.yard.travel_profile, planning_model.places)[0]
        )
    except DomainError as refused:
        code = refused.code if refused.code in get_args(RefusalCode) else "invalid"
        return None, [CautionRow.because(code, refused.reason)]
    checked = check_route(problem, route)
    if isinstance(checked, Schedule):
        result = CheckResult(checked.cost, (), (), (checked,))
        pounds = shop_of(actor).units == "us"
        (planned,) = planned_runs(planning_model, problem, result, {key: RunStart(run.id)}, pounds=pounds)
        return planned, []
    stop_id = None if checked.stop is None else UUID(checked.stop)
    facts = {**checked.facts, "rig": checked.rig}
    reason = rule_reason(checked.code, facts, names_of(planning_model), pounds=shop_of(actor).units == "us")
    return None, [CautionRow.because(checked.code, reason, stop_id=stop_id)]
