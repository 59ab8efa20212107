"""Execute a plan request: search, check, and store the answer."""

import time
from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from shopapi.accounts.queries import shop_of, system_actor
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import DomainError, Reason, pack
from shopapi.core.feed import lock_shop
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.dispatch import queries
from shopapi.dispatch.models import PlanRequest
from shopapi.dispatch.queries.planning_input import PlanningInput, load_planning_input
from shopapi.dispatch.rules.left_out import left_out_rows
from shopapi.dispatch.rules.plan_view import planned_runs
from shopapi.dispatch.rules.planning_model import COSTS, OTHER_DAYS, rig_of
from shopapi.dispatch.rules.schemas.plan import ChangedRun, PlanAnswer, RemarkRow, RoadSource
from shopapi.dispatch.services.travel_times import load_travel_matrices
from shopapi.planner.check import check_plan
from shopapi.planner.plan import plan_with_slack
from shopapi.planner.problem import LeftOut, Problem, Route
from shopapi.planner.repair import repair
from shopapi.planner.replan import changed_rigs, remaining_problem
from shopapi.planner.solver import Budget, Cancelled, Progress

# The cost of a change against the current plan, in metres: that of a quarter of an hour under way.
KEEP = 15 * 60 * COSTS.second
# The search time of one day in seconds: a person waits for it, and an ordinary day is near its best well before.
FEW_STOPS, SOON = 15, 2
REPAIR_SECONDS = 0.3


class PlanRun:
    """The execution of one plan request. Each step has its own transaction, so the search blocks no other write."""

    def __init__(self, shop_id: UUID, plan_id: UUID) -> None:
        self.actor = system_actor(shop_id)
        self.plan_id = plan_id
        self.planning_input: PlanningInput | None = None
        self.pounds = False

    def begin(self) -> PlanRequest | None:
        """Claim the request and read its input; None when it is done, cancelled or claimed by another worker."""
        with in_shop(self.actor.shop_id):
            lock_shop(self.actor.shop_id)
            plan = queries.plans(self.actor).filter(id=self.plan_id, state="waiting").first()
            if plan is None:
                return None
            plan.state = "running"
            plan.save(update_fields=["state"])
            try:
                self.planning_input = self._gather(plan)
            except DomainError as refused:
                self._close(plan, "failed", error=pack(refused.reason))
                return None
            plan.basis = dict(self.planning_input.basis)
            plan.save(update_fields=["basis"])
            self.pounds = shop_of(self.actor).units == "us"
            return plan

    def _gather(self, plan: PlanRequest) -> PlanningInput:
        return load_planning_input(self.actor, plan.days, from_now=plan.from_now, now=now(), driver_id=plan.driver_id)

    def widen(self) -> PlanRequest | None:
        """Plan all runs, since the driver's own leaves something out; None when the request was cancelled meanwhile."""
        with in_shop(self.actor.shop_id):
            lock_shop(self.actor.shop_id)
            plan = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if plan is None:
                return None
            plan.driver_id = None
            try:
                self.planning_input = self._gather(plan)
            except DomainError as refused:
                self._close(plan, "failed", error=pack(refused.reason))
                return None
            plan.basis = dict(self.planning_input.basis)
            plan.save(update_fields=["basis", "driver"])
            return plan

    def search(self, plan: PlanRequest) -> bool:
        """Search and store the answer; False when a driver's own plan leaves out a stop that other rigs might serve."""
        planning_input = self.planning_input
        if planning_input is None:
            return True
        planning_model = planning_input.planning_model
        try:
            roads, source, remarks = load_travel_matrices(planning_model.yard.travel_profile, planning_model.places)
        except DomainError as refused:
            self._fail(pack(refused.reason))
            return True
        problem, before = planning_model.problem(roads), planning_input.routes
        if plan.from_now:
            rest = remaining_problem(problem, before, planning_input.rig_positions, done=planning_model.done)
            problem, before = rest.problem, rest.before
        if plan.driver_id is not None:
            remarks = [*remarks, RemarkRow.because("own_day", Reason("plan_own_day"))]
        reporter = ProgressReporter(self, problem, before, source, remarks)
        try:
            found = plan_with_slack(
                problem,
                _budget(plan, len(problem.stops)),
                planning_model.spread,
                seed=plan.seed,
                before=before,
                keep=KEEP if plan.from_now else 0,
                watch=reporter.watch,
            )
        except Cancelled:
            return True
        if plan.driver_id is not None and any(problem.by_key[one.stop].required for one in found.left_out):
            return False
        answer = reporter.answer(found.routes, found.left_out, proven=found.proven)
        if answer is None:
            self._fail(pack(Reason("plan_unchecked")))
            return True
        with in_shop(self.actor.shop_id):
            lock_shop(self.actor.shop_id)
            running = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if running is not None:
                self._close(running, "done", answer=to_json(answer))
        return True

    def note(self, permille: int, answer: PlanAnswer | None) -> bool:
        """Store the progress; False when the request was cancelled meanwhile."""
        with in_shop(self.actor.shop_id):
            lock_shop(self.actor.shop_id)
            running = queries.plans(self.actor).filter(id=self.plan_id, state="running").first()
            if running is None:
                return False
            running.permille = permille
            if answer is not None:
                running.answer = to_json(answer)
            running.save(update_fields=["permille", "answer"])
        return True

    def _fail(self, error: str) -> None:
        with in_shop(self.actor.shop_id):
            lock_shop(self.actor.shop_id)
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


class ProgressReporter:
    """Shows the progress and result of a search, but only answers that have passed the check."""

    def __init__(
        self,
        plan_run: PlanRun,
        problem: Problem,
        before: Sequence[Route],
        source: RoadSource,
        remarks: list[RemarkRow],
    ) -> None:
        self.plan_run = plan_run
        self.problem = problem
        self.before = before
        self.source = source
        self.remarks = remarks
        self.shown = False

    def watch(self, progress: Progress) -> bool:
        answer = None
        if progress.routes is not None and not self.shown:
            # The search ignores deck order and breaks, so its result so far is repaired before it is checked.
            until = time.monotonic() + REPAIR_SECONDS
            repaired = repair(self.problem, progress.routes, lambda: time.monotonic() >= until)
            answer = self.answer(repaired.routes, (), proven=False)
            self.shown = answer is not None
        return self.plan_run.note(round(1000 * progress.share), answer)

    def answer(self, routes: Iterable[Route], left: Iterable[LeftOut], *, proven: bool) -> PlanAnswer | None:
        planning_input = self.plan_run.planning_input
        result = check_plan(self.problem, tuple(routes))
        if planning_input is None or any(violation.code != "left_out" for violation in result.violations):
            return None
        runs = planned_runs(
            planning_input.planning_model, self.problem, result, planning_input.begins, pounds=self.plan_run.pounds
        )
        return PlanAnswer(
            runs=runs,
            left_out=left_out_rows(planning_input.planning_model, list(left), pounds=self.plan_run.pounds),
            metres=sum(run.metres for run in runs),
            proven=proven,
            complete=not result.violations
            and all(kept.code in OTHER_DAYS for kept in planning_input.planning_model.excluded),
            roads=self.source,
            remarks=self.remarks,
            touches=self._touches(planning_input, tuple(routes)),
        )

    def _touches(self, planning_input: PlanningInput, routes: Sequence[Route]) -> list[ChangedRun]:
        return [
            ChangedRun(
                run_id=planning_input.begins[key].run_id,
                rig_id=UUID(rig_of(key)[0]),
                day=rig_of(key)[1],
                driver_id=planning_input.drivers[key],
            )
            for key in sorted(changed_rigs(self.before, routes))
        ]


def execute_plan_request(*, shop_id: UUID, plan_id: UUID) -> None:
    """Execute one plan request and store the plan, or the reason why there is none. Opens its own transactions."""
    plan_run = PlanRun(shop_id, plan_id)
    plan = plan_run.begin()
    if plan is not None and not plan_run.search(plan):
        wider = plan_run.widen()
        if wider is not None:
            plan_run.search(wider)


def give_up_plans(*, actor: Actor, before: datetime) -> int:
    """Mark plans as failed whose worker has reported no progress since a moment. The caller holds the transaction."""
    lost = queries.unfinished_plans(actor).filter(changed_at__lt=before)
    found = 0
    for plan in lost.select_for_update():
        plan.state, plan.error = "failed", pack(Reason("plan_lost"))
        plan.save(update_fields=["state", "error"])
        record(actor, "plan failed", ("plan_request", plan.id), error=plan.error)
        found += 1
    return found
