"""A checked plan as rows: times with intervals, decks, cautions."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from uuid import UUID

from shopapi.core.errors import ContextValue, Reason
from shopapi.core.units import CM_AN_INCH
from shopapi.dispatch.rules import cautions
from shopapi.dispatch.rules.deck_drawing import draw, svg
from shopapi.dispatch.rules.figures import distance_text, weight_text
from shopapi.dispatch.rules.planning_model import (
    CARRIED,
    MachineSize,
    PlanningModel,
    PlanningRig,
    PlanningStop,
    rig_of,
)
from shopapi.dispatch.rules.schemas.plan import PlannedRun, PlannedStop
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow, LegRow, MarginRow
from shopapi.planner.arrival import Arrival, reliable_start, stops_at_risk
from shopapi.planner.check import CheckResult, Schedule
from shopapi.planner.legs import LegTieDowns, tie_downs, unmeasured_on_deck
from shopapi.planner.loading.deck import DeckLayout
from shopapi.planner.loading.ramp import STEEPEST_DEGREES, Ramp, check_ramp
from shopapi.planner.loading.stowage import TowLoads
from shopapi.planner.loading.tie_downs import check_tie_downs, count_of_machine
from shopapi.planner.problem import Problem, RigDay

# Arrival times are shown to the minute.
STEP_SECONDS = 60


@dataclass(frozen=True)
class RunStart:
    """Where a rig's plan begins in its run: the run's id, and how many of its trips and stops are already over."""

    run_id: UUID
    trip: int = 0
    position: int = 0


def planned_runs(
    planning_model: PlanningModel,
    problem: Problem,
    result: CheckResult,
    begins: Mapping[str, RunStart],
    *,
    pounds: bool,
) -> list[PlannedRun]:
    """The runs of a checked plan, in the order of days and rigs. `begins`: by rig key of the problem."""
    facts = {stop.key: stop for stop in planning_model.stops}
    rigs = {rig.key: rig for rig in planning_model.rigs}
    found = []
    for walked in sorted(result.schedules, key=lambda one: (rig_of(one.route.rig)[1], one.route.rig)):
        schedule, expected = reliable_start(problem, walked, planning_model.spread)
        key, day = rig_of(schedule.route.rig)
        rig = problem.rig_by_key[schedule.route.rig]
        begin = begins[rig.key]
        found.append(
            PlannedRun(
                run_id=begin.run_id,
                rig_id=UUID(key),
                day=day,
                leaves_at=planning_model.instant_of(schedule.leaves),
                home_at=planning_model.instant_of(schedule.home),
                metres=schedule.metres,
                drive_seconds=sum(leg.seconds for leg in _legs(problem, rig, schedule)),
                stops=list(_stops(planning_model, schedule, begin, expected)),
                cautions=[
                    *_cautions(rigs[key], problem, schedule, facts, pounds=pounds),
                    *_late(planning_model, stops_at_risk(problem, schedule, expected)),
                    *_roughly_placed(planning_model, schedule, pounds=pounds),
                ],
                margins=list(_margins(schedule, begin)),
                decks=list(_decks(planning_model, problem, schedule, facts, begin, pounds=pounds)),
                legs=list(_leg_rows(planning_model, problem, rig, schedule, begin)),
            )
        )
    return found


@dataclass(frozen=True)
class _Drive:
    """One drive: its trip, its stop (None: home), metres and seconds."""

    trip: int
    stop: str | None
    metres: int
    seconds: int


def _legs(problem: Problem, rig: RigDay, schedule: Schedule) -> Iterator[_Drive]:
    """Each drive in order, including those home."""
    roads = problem.roads[rig.roads]
    here = problem.shop if rig.start is None else rig.start
    for number, trip in enumerate(schedule.route.trips):
        for key in (*trip, None):
            there = problem.shop if key is None else problem.by_key[key].place
            yield _Drive(number, key, roads.metres[here][there], roads.seconds[here][there])
            here = there


def _leg_rows(
    planning_model: PlanningModel, problem: Problem, rig: RigDay, schedule: Schedule, begin: RunStart
) -> Iterator[LegRow]:
    travel_profile = planning_model.yard.travel_profile
    number = 0
    for leg in _legs(problem, rig, schedule):
        yield LegRow(
            trip=begin.trip + leg.trip,
            leg=number,
            stop_id=None if leg.stop is None else UUID(leg.stop),
            metres=leg.metres,
            seconds=leg.seconds,
            low_seconds=floor(leg.seconds * travel_profile.low),
            high_seconds=ceil(leg.seconds * travel_profile.high),
        )
        number = 0 if leg.stop is None else number + 1


def _stops(
    planning_model: PlanningModel, schedule: Schedule, begin: RunStart, expected: Iterable[Arrival]
) -> Iterator[PlannedStop]:
    """Each stop with the interval that contains its arrival with a probability of 80 %."""
    visits = {visit.stop: visit for visit in schedule.visits}
    intervals = {arrival.stop: arrival for arrival in expected}
    for number, trip in enumerate(schedule.route.trips):
        for place, key in enumerate(trip):
            visit = visits[key]
            offset = begin.position if number == 0 else 0
            yield PlannedStop(
                stop_id=UUID(key),
                trip=begin.trip + number,
                position=offset + place,
                arrives_from=planning_model.instant_of(min(_minute(intervals[key].low), visit.arrives)),
                arrives_at=planning_model.instant_of(visit.arrives),
                arrives_to=planning_model.instant_of(max(_minute(intervals[key].high), visit.arrives)),
                starts_at=planning_model.instant_of(visit.starts),
                leaves_at=planning_model.instant_of(visit.leaves),
            )


def _minute(second: float) -> int:
    return round(second / STEP_SECONDS) * STEP_SECONDS


def _late(planning_model: PlanningModel, late: Iterable[str]) -> Iterator[CautionRow]:
    """The stops that are reached within their times with a probability below 80 %, whenever the rig leaves."""
    labels = {stop.key: stop.label for stop in planning_model.stops}
    for key in late:
        yield CautionRow.because("tight", Reason("caution_tight", {"stop": labels[key]}), stop_id=UUID(key))


def _roughly_placed(planning_model: PlanningModel, schedule: Schedule, *, pounds: bool) -> Iterator[CautionRow]:
    """The stops of which only about is known where they are."""
    keys = set(schedule.route.keys)
    for stop in planning_model.rough:
        if stop.key in keys:
            context = {"stop": stop.label, "within": distance_text(stop.within_m, miles=pounds)}
            yield CautionRow.because(
                "position_rough", Reason("caution_position_rough", context), stop_id=UUID(stop.key)
            )


def _deck_legs(schedule: Schedule, begin: RunStart) -> Iterator[tuple[int, int, DeckLayout, TowLoads | None]]:
    for number, stowage in enumerate(schedule.stowages):
        for leg, layout in enumerate(stowage.legs):
            yield begin.trip + number, leg, layout, stowage.tow_loads[leg] if stowage.tow_loads else None


def _margins(schedule: Schedule, begin: RunStart) -> Iterator[MarginRow]:
    for trip, leg, layout, pull in _deck_legs(schedule, begin):
        if pull is None or pull.smallest is None or not layout:
            continue
        least = pull.smallest
        yield MarginRow.because(
            least.rating,
            Reason(f"rating_{least.rating}"),
            trip=trip,
            leg=leg,
            limit_kg=round(least.limit_kg),
            load_kg=round(least.load_kg),
            left_kg=round(least.kg),
        )


def _decks(
    planning_model: PlanningModel,
    problem: Problem,
    schedule: Schedule,
    facts: Mapping[str, PlanningStop],
    begin: RunStart,
    *,
    pounds: bool,
) -> Iterator[DeckRow]:
    rig = problem.rig_by_key[schedule.route.rig]
    unmeasured = tuple(unmeasured_on_deck(problem, rig, schedule.route))
    for trip, leg, layout, pull in _deck_legs(schedule, begin):
        if not layout or pull is None or rig.deck is None or rig.trailer is None:
            continue
        missing = unmeasured[trip - begin.trip][leg]
        names = {key: facts[key].label if key in facts else "" for key in (*(one.key for one in layout), *missing)}
        drawing = draw(rig.deck, rig.trailer, layout, pull, names, missing=missing, pounds=pounds)
        yield DeckRow.because(
            "deck",
            drawing.title,
            trip=trip,
            leg=leg,
            svg=svg(drawing),
            gross_kg=round(pull.gross_kg),
            tongue_kg=round(pull.tongue_kg),
            tongue_permille=round(1000 * pull.tongue_share),
            tie_downs=_tie_downs(layout, len(missing), rig, planning_model.yard.least_tie_downs),
            tie_downs_there=rig.straps,
        )


def _tie_downs(layout: DeckLayout, unmeasured: int, rig: RigDay, least: int) -> int:
    sizes = [*((placed.piece.length_cm, placed.piece.kg) for placed in layout), *[(None, None)] * unmeasured]
    return sum(count_of_machine(length, kg, shop_least=least, each=rig.strap) for length, kg in sizes)


def _cautions(
    facts: PlanningRig, problem: Problem, schedule: Schedule, stops: Mapping[str, PlanningStop], *, pounds: bool
) -> Iterator[CautionRow]:
    rig = problem.rig_by_key[schedule.route.rig]
    carried = [stops[key] for key in schedule.route.keys if stops[key].kind in CARRIED]
    for stop in carried:
        if stop.size.piece is None:
            unknown = Reason("caution_size_unknown", {"stop": stop.label})
            yield CautionRow.because("size_unknown", unknown, stop_id=UUID(stop.key))
        yield from _on_the_ramp(facts, stop, pounds=pounds)
    yield from _still_aboard(rig, stops)
    if carried and rig.trailer is None:
        code = "caution_no_trailer" if facts.trailer is None else "caution_trailer_unknown"
        yield CautionRow.because("trailer_unknown", Reason(code))
    for caution in _tied_down(rig, list(tie_downs(problem, rig, schedule.route))):
        yield caution_row(caution, pounds=pounds)
    yield from _on_tongue_and_axles(rig, schedule, pounds=pounds)
    if carried:
        yield CautionRow.because("check_again", Reason("caution_check_again"))


def _on_tongue_and_axles(rig: RigDay, schedule: Schedule, *, pounds: bool) -> Iterator[CautionRow]:
    """Each caution about the towed load once, even if it applies to several legs."""
    if rig.trailer is None:
        return
    seen: set[str] = set()
    for stowage in schedule.stowages:
        for layout, pull in zip(stowage.legs, stowage.tow_loads, strict=True):
            for caution in cautions.towing_cautions(rig.trailer, pull, loaded=bool(layout)):
                if caution.code not in seen:
                    seen.add(caution.code)
                    yield caution_row(caution, pounds=pounds)


def _tied_down(rig: RigDay, legs: Sequence[LegTieDowns]) -> Iterator[cautions.LoadCaution]:
    """Tie-down cautions for the leg that needs most of them and for the heaviest one."""
    needed = max((leg.needed for leg in legs), default=0)
    if not needed:
        return
    if rig.straps is None:
        yield cautions.LoadCaution("tie_downs_unknown", {"needed": needed})
        return
    heaviest = max(leg.kg for leg in legs)
    aboard = [] if rig.strap is None else [rig.strap] * rig.straps
    held = replace(check_tie_downs(heaviest, needed, aboard), there=rig.straps)
    yield from cautions.tie_down_cautions(held, strength_known=rig.strap is not None and heaviest > 0)


def _still_aboard(rig: RigDay, stops: Mapping[str, PlanningStop]) -> Iterator[CautionRow]:
    for key, _ in rig.on_deck:
        if key in stops and stops[key].kind == "return":
            reason = Reason("caution_still_aboard", {"stop": stops[key].label})
            yield CautionRow.because("still_aboard", reason, stop_id=UUID(key))


def _on_the_ramp(facts: PlanningRig, stop: PlanningStop, *, pounds: bool) -> Iterator[CautionRow]:
    height = facts.deck.exact("height_cm")
    if facts.ramp_length_cm is None or height is None:
        return
    size: MachineSize = stop.size
    up = check_ramp(
        Ramp(float(facts.ramp_length_cm), float(height)),
        wheelbase_cm=None if size.wheelbase_cm is None else float(size.wheelbase_cm),
        clearance_cm=None if size.clearance_cm is None else float(size.clearance_cm),
    )
    for caution in cautions.ramp_cautions(up, steepest=STEEPEST_DEGREES):
        yield caution_row(caution, pounds=pounds, stop=stop)


def caution_row(caution: cautions.LoadCaution, *, pounds: bool, stop: PlanningStop | None = None) -> CautionRow:
    """A caution with weights and lengths in the shop's units; `stop`: the stop it is about."""
    context: dict[str, ContextValue] = {} if stop is None else {"stop": stop.label}
    for name, value in caution.facts.items():
        context[name] = _figure(caution.code, name, value, pounds=pounds)
    reason = Reason(f"caution_{caution.code}", context)
    return CautionRow.because(caution.code, reason, stop_id=None if stop is None else UUID(stop.key))


def _figure(code: str, name: str, value: float | str, *, pounds: bool) -> ContextValue:
    if isinstance(value, str):
        return Reason(f"rating_{value}")
    if name in {"over", "left", "tongue", "half", "hold"}:
        return weight_text(value, pounds=pounds)
    if name == "share":
        return f"{100 * value:.1f} %"
    if name in {"degrees", "steepest"}:
        return f"{value:.1f}°"
    if name in {"side", "needed"} and code in {"side_offset", "ramp_steep"}:
        return f"{abs(value) / float(CM_AN_INCH):.0f} in" if pounds else f"{abs(value):.0f} cm"
    return f"{value:g}"
