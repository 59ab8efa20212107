"""Accept a plan: make runs from its answer, unless a row that it was made from has changed."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, Context, FieldError, Forbidden, Reason
from shopapi.core.rows import row_for
from shopapi.core.schema import Target, parse, to_json
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest, Rig, Run, Stop
from shopapi.dispatch.queries.planning_input import load_planning_input
from shopapi.dispatch.rules.schemas.plan import PlanAnswer, PlannedRun
from shopapi.dispatch.services.run_progress import set_current_stop
from shopapi.dispatch.services.stops import take_off_run


@command(needs=Permission.PLAN_OWN_DAY, rest_name="take")
def take_plan(*, actor: Actor, data: Target) -> PlanRequest:
    """Make runs from a plan's answer, all or none; a driver may accept a plan that changes their own run only."""
    plan = row_for(PlanRequest, actor, data.id)
    if plan.taken_at is not None:
        return plan
    if plan.state != "done" or plan.answer is None:
        raise Conflict("plan_not_done", fields=[FieldError("id", "plan_not_done")])
    _refuse_outdated(actor, plan)
    answer = parse(PlanAnswer, plan.answer)
    if not actor.may(Permission.PLAN_RUNS):
        _refuse_for_others(actor, plan, answer)
    served = {stop.stop_id for run in answer.runs for stop in run.stops}
    scope = [key.partition("/")[2] for key in plan.basis if key.startswith("stop/")]
    for stop in queries.stops(actor).select_for_update().filter(id__in=scope).exclude(id__in=served):
        if stop.run_id is not None:
            take_off_run(stop)
            stop.save()
    taken = {run.run_id for run in answer.runs}
    emptied = queries.runs(actor).filter(day__in=plan.days, state="planned").exclude(id__in=taken)
    if plan.driver_id is not None:
        emptied = emptied.filter(driver=plan.driver_id)
    for run in emptied:
        run.state = "cancelled"
        run.save(update_fields=["state"])
    for planned in answer.runs:
        _write_run(actor, plan, planned)
    plan.taken_at = now()
    plan.save(update_fields=["taken_at"])
    record(actor, "plan taken", ("plan_request", plan.id), runs=sorted(taken))
    return plan


def _refuse_for_others(actor: Actor, plan: PlanRequest, answer: PlanAnswer) -> None:
    """Raise Forbidden unless the plan is of the rest of today and changes the actor's own run only."""
    others = [touched.rig_id for touched in answer.touches if touched.driver_id != actor.member_id]
    if plan.from_now and not others:
        return
    names = ", ".join(queries.rigs(actor).filter(id__in=others).order_by("name").values_list("name", flat=True))
    message = "plan_touches_others" if names else "office_takes_plan"
    fault = FieldError("id", "plan_touches_others", message=message, context={"names": names})
    raise Forbidden("plan_touches_others", reason=fault.reason, fields=[fault])


def _refuse_outdated(actor: Actor, plan: PlanRequest) -> None:
    """Raise Conflict when a row of the plan's basis has changed, with its name."""
    present = load_planning_input(actor, plan.days, from_now=plan.from_now, now=now(), driver_id=plan.driver_id)
    changed = sorted(
        key for key in plan.basis.keys() | present.basis.keys() if plan.basis.get(key) != present.basis.get(key)
    )
    if changed:
        first = present.names.get(changed[0], Reason("changed_something"))
        context: Context = {"first": first, "more": len(changed) - 1}
        message = "plan_outdated_more" if len(changed) > 1 else "plan_outdated"
        fault = FieldError("id", "plan_outdated", message=message, context=context)
        raise Conflict("plan_outdated", reason=fault.reason, fields=[fault])


def _write_run(actor: Actor, plan: PlanRequest, planned: PlannedRun) -> None:
    run = queries.runs(actor).filter(id=planned.run_id).first()
    if run is None:
        rig = Rig.objects.get(id=planned.rig_id)
        run = Run(id=planned.run_id, shop_id=actor.shop_id, rig=rig, driver_id=rig.driver_id, day=planned.day)
    if run.state != "driving":
        run.leaves_at = planned.leaves_at
    run.home_at, run.metres, run.drive_seconds, run.plan = (
        planned.home_at,
        planned.metres,
        planned.drive_seconds,
        plan,
    )
    run.cautions, run.margins, run.decks = to_json(planned.cautions), to_json(planned.margins), to_json(planned.decks)
    run.legs = to_json(planned.legs)
    run.save()
    stops = {stop.id: stop for stop in Stop.objects.filter(id__in=[one.stop_id for one in planned.stops])}
    for one in planned.stops:
        stop = stops[one.stop_id]
        stop.run, stop.trip, stop.position, stop.state = run, one.trip, one.position, "planned"
        stop.arrives_from, stop.arrives_at, stop.arrives_to = one.arrives_from, one.arrives_at, one.arrives_to
        stop.leaves_at = one.leaves_at
        stop.save()
    set_current_stop(run)
