"""From a request to a plan that has passed the check, and from there to runs."""

import time
from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, DomainError, FieldError, Forbidden
from shopapi.core.feed import lock_head
from shopapi.core.shape import Target, decode, plain
from shopapi.core.tenancy import in_shop
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest, Rig, Run, Stop
from shopapi.dispatch.rules.check import check_plan
from shopapi.dispatch.rules.mend import mend
from shopapi.dispatch.rules.outing import OTHER_DAYS, rig_of
from shopapi.dispatch.rules.problem import LeftOut, Problem, Route
from shopapi.dispatch.rules.records import PlanAnswer, PlannedRun, RunTouched
from shopapi.dispatch.rules.replan import changed_rigs, rest_of_day
from shopapi.dispatch.rules.solve import Budget, Cancelled, Progress
from shopapi.dispatch.rules.telling import left_out_rows, planned_runs
from shopapi.dispatch.services.driving import head_for_next
from shopapi.dispatch.services.gathering import Gathered, gather
from shopapi.dispatch.services.planning import plan_problem
from shopapi.dispatch.services.roads import Source, roads_between
from shopapi.dispatch.services.stops import free

# What a change against the plan before is worth, in metres: a quarter of an hour under way.
KEEP = 15 * 60 * 20
# An ordinary day is searched no longer than this: a person waits for it, and it is near its best long before.
FEW_STOPS, SOON = 15, 2
MENDING_SECONDS = 0.3
OWN_DAY = "Only the driver's own run was planned anew. What else is asked for waits for the office."
LOST = "The worker that made this plan was lost. Ask for it again."


class _Job:
    """One plan in the making. Each step is a transaction of its own: nobody of the shop waits for the search."""

    def __init__(self, shop_id: UUID, plan_id: UUID) -> None:
        self.actor = system_actor(shop_id)
        self.plan_id = plan_id
        self.gathered: Gathered | None = None
        self.pounds = False

    def begin(self) -> PlanRequest | None:
        """Claim the request; None when it is done, cancelled or somebody else's."""
        with in_shop(self.actor.shop_id):
            lock_head(self.actor.shop_id)
            plan = queries.plans(self.actor).filter(id=self.plan_id, state="waiting").first()
            if plan is None:
                return None
            plan.state = "running"
            plan.save(update_fields=["state"])
            try:
                self.gathered = self._gather(plan)
            except DomainError as refused:
                self._close(plan, "failed", error=refused.words)
                return None
            plan.basis = dict(self.gathered.basis)
            plan.save(update_fields=["basis"])
            self.pounds = shop_of(self.actor).units == "us"
            return plan

    def _gather(self, plan: PlanRequest) -> Gathered:
        return gather(self.actor, plan.days, from_now=plan.from_now, now=now(), driver_id=plan.driver_id)

    def widen(self) -> PlanRequest | None:
        """Plan every run, since one alone leaves something out; None when nobody wants it any more."""
        with in_shop(self.actor.shop_id):
            lock_head(self.actor.shop_id)
            plan = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if plan is None:
                return None
            plan.driver_id = None
            try:
                self.gathered = self._gather(plan)
            except DomainError as refused:
                self._close(plan, "failed", error=refused.words)
                return None
            plan.basis = dict(self.gathered.basis)
            plan.save(update_fields=["basis", "driver"])
            return plan

    def search(self, plan: PlanRequest) -> bool:
        """Make the plan and keep it; False when that of one driver leaves something out that others might serve."""
        gathered = self.gathered
        if gathered is None:
            return True
        outing = gathered.outing
        try:
            roads, source, words = roads_between(outing.yard.habits, outing.places)
        except DomainError as refused:
            self._fail(refused.words)
            return True
        problem, before = outing.problem(roads), gathered.routes
        if plan.from_now:
            rest = rest_of_day(problem, before, gathered.where, done=outing.done)
            problem, before = rest.problem, rest.before
        if plan.driver_id is not None:
            words = [*words, OWN_DAY]
        told = _Told(self, problem, before, source, words)
        try:
            found = plan_problem(
                problem,
                _budget(plan, len(problem.stops)),
                seed=plan.seed,
                before=before,
                keep=KEEP if plan.from_now else 0,
                watch=told.watch,
            )
        except Cancelled:
            return True
        if plan.driver_id is not None and any(problem.by_key[one.stop].required for one in found.left_out):
            return False
        answer = told.answer(found.routes, found.left_out, proven=found.proven)
        if answer is None:
            self._fail("The plan that was found did not pass the check, so it is not shown. Ask for it again.")
            return True
        with in_shop(self.actor.shop_id):
            lock_head(self.actor.shop_id)
            running = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if running is not None:
                self._close(running, "done", answer=plain(answer))
        return True

    def note(self, permille: int, answer: PlanAnswer | None) -> bool:
        """Show how far it is; False when nobody wants it any more."""
        with in_shop(self.actor.shop_id):
            lock_head(self.actor.shop_id)
            running = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if running is None:
                return False
            running.permille = permille
            if answer is not None:
                running.answer = plain(answer)
            running.save(update_fields=["permille", "answer"])
        return True

    def _fail(self, error: str) -> None:
        with in_shop(self.actor.shop_id):
            lock_head(self.actor.shop_id)
            running = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if running is not None:
                self._close(running, "failed", error=error)

    def _close(self, plan: PlanRequest, state: str, *, error: str = "", answer: object = None) -> None:
        plan.state, plan.error, plan.answer = state, error, answer
        plan.permille = 1000 if state == "done" else plan.permille
        plan.save(update_fields=["state", "error", "answer", "permille"])
        record(self.actor, f"plan {state}", ("plan_request", plan.id), error=error)


def _budget(plan: PlanRequest, stops: int) -> Budget:
    if plan.rounds:
        return Budget(seconds=None, rounds=plan.rounds)
    return Budget(seconds=min(plan.seconds, SOON) if stops <= FEW_STOPS else plan.seconds, rounds=None)


class _Told:
    """What is shown of a search while it goes, and of its end: nothing that has not passed the check."""

    def __init__(self, job: _Job, problem: Problem, before: Sequence[Route], source: Source, words: list[str]) -> None:
        self.job = job
        self.problem = problem
        self.before = before
        self.source = source
        self.words = words
        self.shown = False

    def watch(self, progress: Progress) -> bool:
        answer = None
        if progress.routes is not None and not self.shown:
            # The search knows nothing of decks and breaks: what it has so far is mended, or nothing could be shown.
            until = time.monotonic() + MENDING_SECONDS
            mended = mend(self.problem, progress.routes, lambda: time.monotonic() >= until)
            answer = self.answer(mended.routes, (), proven=False)
            self.shown = answer is not None
        return self.job.note(round(1000 * progress.share), answer)

    def answer(self, routes: Iterable[Route], left: Iterable[LeftOut], *, proven: bool) -> PlanAnswer | None:
        gathered = self.job.gathered
        verdict = check_plan(self.problem, tuple(routes))
        if gathered is None or any(broken.code != "left_out" for broken in verdict.broken):
            return None
        runs = planned_runs(gathered.outing, self.problem, verdict, gathered.begins, pounds=self.job.pounds)
        return PlanAnswer(
            runs=runs,
            left_out=left_out_rows(gathered.outing, list(left)),
            metres=sum(run.metres for run in runs),
            proven=proven,
            complete=not verdict.broken and all(kept.code in OTHER_DAYS for kept in gathered.outing.out),
            roads=self.source,
            words=self.words,
            touches=self._touches(gathered, tuple(routes)),
        )

    def _touches(self, gathered: Gathered, routes: Sequence[Route]) -> list[RunTouched]:
        return [
            RunTouched(
                run_id=gathered.begins[key].run_id,
                rig_id=UUID(rig_of(key)[0]),
                day=rig_of(key)[1],
                driver_id=gathered.drivers[key],
            )
            for key in sorted(changed_rigs(self.before, routes))
        ]


def make_plan(*, shop_id: UUID, plan_id: UUID) -> None:
    """Make one plan that was asked for, and keep it or the reason why there is none. Opens its own transactions."""
    job = _Job(shop_id, plan_id)
    plan = job.begin()
    if plan is not None and not job.search(plan):
        wider = job.widen()
        if wider is not None:
            job.search(wider)


def give_up_plans(*, actor: Actor, before: datetime) -> int:
    """Say so of each plan whose worker has not been heard of since a moment. The caller holds the transaction."""
    lost = queries.plans(actor).filter(state__in=["waiting", "running"], changed_at__lt=before)
    found = 0
    for plan in lost.select_for_update():
        plan.state, plan.error = "failed", LOST
        plan.save(update_fields=["state", "error"])
        record(actor, "plan failed", ("plan_request", plan.id), error=LOST)
        found += 1
    return found


@command(needs=Permission.PLAN_OWN_DAY)
def take_plan(*, actor: Actor, data: Target) -> PlanRequest:
    """Make a plan's answer into runs, all of it or nothing; a driver one that changes their own run alone."""
    plan = queries.plan_for(actor, data.id)
    if plan.taken_at is not None:
        return plan
    if plan.state != "done" or plan.answer is None:
        words = "There is no plan to take here yet."
        raise Conflict("plan_not_done", words, fields=[FieldError("id", "plan_not_done", words)])
    _refuse_outdated(actor, plan)
    answer = decode(PlanAnswer, plan.answer)
    if not actor.may(Permission.PLAN_RUNS):
        _refuse_for_others(actor, plan, answer)
    served = {stop.stop_id for run in answer.runs for stop in run.stops}
    scope = [key.partition("/")[2] for key in plan.basis if key.startswith("stop/")]
    for stop in queries.stops(actor).select_for_update().filter(id__in=scope).exclude(id__in=served):
        if stop.run_id is not None:
            free(stop)
            stop.save()
    taken = {run.run_id for run in answer.runs}
    emptied = queries.runs(actor).filter(day__in=plan.days, state="planned").exclude(id__in=taken)
    if plan.driver_id is not None:
        emptied = emptied.filter(driver=plan.driver_id)
    for run in emptied:
        run.state = "cancelled"
        run.save(update_fields=["state"])
    for planned in answer.runs:
        _put_on_the_road(actor, plan, planned)
    plan.taken_at = now()
    plan.save(update_fields=["taken_at"])
    record(actor, "plan taken", ("plan_request", plan.id), runs=sorted(taken))
    return plan


def _refuse_for_others(actor: Actor, plan: PlanRequest, answer: PlanAnswer) -> None:
    """Raise Forbidden unless a plan is of today from now on and changes nobody's run but the actor's own."""
    others = [touched.rig_id for touched in answer.touches if touched.driver_id != actor.member_id]
    if plan.from_now and not others:
        return
    names = ", ".join(queries.rigs(actor).filter(id__in=others).order_by("name").values_list("name", flat=True))
    words = (
        f"This plan changes the run of {names} too: the office takes it." if names else "The office takes this plan."
    )
    raise Forbidden("plan_touches_others", words, fields=[FieldError("id", "plan_touches_others", words)])


def _refuse_outdated(actor: Actor, plan: PlanRequest) -> None:
    """Raise Conflict when anything changed since it was planned from, and name it."""
    present = gather(actor, plan.days, from_now=plan.from_now, now=now(), driver_id=plan.driver_id)
    changed = sorted(
        key for key in plan.basis.keys() | present.basis.keys() if plan.basis.get(key) != present.basis.get(key)
    )
    if changed:
        first = present.names.get(changed[0], "something in it")
        more = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
        words = f"Since this was planned, {first}{more} changed. Plan again."
        raise Conflict("plan_outdated", words, fields=[FieldError("id", "plan_outdated", words)])


def _put_on_the_road(actor: Actor, plan: PlanRequest, planned: PlannedRun) -> None:
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
    run.cautions, run.margins, run.decks = plain(planned.cautions), plain(planned.margins), plain(planned.decks)
    run.legs = plain(planned.legs)
    run.save()
    stops = {stop.id: stop for stop in Stop.objects.filter(id__in=[one.stop_id for one in planned.stops])}
    for one in planned.stops:
        stop = stops[one.stop_id]
        stop.run, stop.trip, stop.position, stop.state = run, one.trip, one.position, "planned"
        stop.arrives_from, stop.arrives_at, stop.arrives_to = one.arrives_from, one.arrives_at, one.arrives_to
        stop.leaves_at = one.leaves_at
        stop.save()
    head_for_next(run)
