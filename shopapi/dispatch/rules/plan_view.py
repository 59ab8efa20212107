"""A plan that holds, told as rows: when, how sure, what stands where, what to mind."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from uuid import UUID

from shopapi.core.units import CM_AN_INCH, KG_A_POUND
from shopapi.dispatch.rules import cautions
from shopapi.dispatch.rules.deck_drawing import draw, svg, weight_words
from shopapi.dispatch.rules.planning_model import MachineSize, PlanningModel, PlanningRig, PlanningStop, rig_key, rig_of
from shopapi.dispatch.rules.run_sheet import NEEDS
from shopapi.dispatch.rules.schemas.plan import LeftOutRow, PlannedRun, PlannedStop
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow, LegRow, MarginRow
from shopapi.dispatch.rules.wording import BESIDE_OTHERS, CAUTIONS, REASONS
from shopapi.planner.arrival import arrivals, reliable_start, stops_at_risk
from shopapi.planner.check import CheckResult, LegTieDowns, Schedule, tie_downs
from shopapi.planner.loading.deck import DeckLayout
from shopapi.planner.loading.ramp import STEEPEST_DEGREES, Ramp, check_ramp
from shopapi.planner.loading.stowage import TowLoads
from shopapi.planner.loading.tie_downs import check_tie_downs, count_of_machine
from shopapi.planner.problem import Facts, LeftOut, Problem, RigDay

# Times are told by the minute.
STEP_SECONDS = 60

# What the planner's dimensions of a load are counted in, in their order.
DIMENSIONS = ("kg", "cm", "machines")

RATINGS: Mapping[str, str] = {
    "trailer_gvwr": "trailer GVWR",
    "trailer_axle": "trailer axle, GAWR",
    "tires": "trailer tires",
    "coupler": "coupler",
    "truck_gvwr": "truck GVWR",
    "gcwr": "GCWR",
    "hitch": "hitch",
    "hitch_tongue": "hitch, tongue weight",
    "ball": "ball",
    "truck_rear_axle": "truck rear axle, GAWR",
}


@dataclass(frozen=True)
class RunStart:
    """Where a rig's plan begins in its run: the run's id, and how many trips and stops of it are over already."""

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
    """The runs of a checked plan, in the order of days and rigs. `begins`: for each rig of the problem."""
    facts = {stop.key: stop for stop in planning_model.stops}
    rigs = {rig.key: rig for rig in planning_model.rigs}
    found = []
    for walked in sorted(result.schedules, key=lambda one: (rig_of(one.route.rig)[1], one.route.rig)):
        schedule = reliable_start(problem, walked, planning_model.spread)
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
                stops=list(_stops(planning_model, problem, schedule, begin)),
                cautions=[
                    *_cautions(rigs[key], problem, schedule, facts, pounds=pounds),
                    *_late(planning_model, problem, schedule),
                ],
                margins=list(_margins(schedule, begin)),
                decks=list(_decks(planning_model, rig, schedule, facts, begin, pounds=pounds)),
                legs=list(_leg_rows(planning_model, problem, rig, schedule, begin)),
            )
        )
    return found


@dataclass(frozen=True)
class _Drive:
    """One drive: of which trip, to which stop (None: home), how far and how long."""

    trip: int
    stop: str | None
    metres: int
    seconds: int


def _legs(problem: Problem, rig: RigDay, schedule: Schedule) -> Iterator[_Drive]:
    """Each drive in order, the ones home included."""
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
    planning_model: PlanningModel, problem: Problem, schedule: Schedule, begin: RunStart
) -> Iterator[PlannedStop]:
    """Each stop with the interval that holds its arrival four times in five."""
    visits = {visit.stop: visit for visit in schedule.visits}
    told = {arrival.stop: arrival for arrival in arrivals(problem, schedule, planning_model.spread)}
    for number, trip in enumerate(schedule.route.trips):
        for place, key in enumerate(trip):
            visit = visits[key]
            offset = begin.position if number == 0 else 0
            yield PlannedStop(
                stop_id=UUID(key),
                trip=begin.trip + number,
                position=offset + place,
                arrives_from=planning_model.instant_of(min(_minute(told[key].low), visit.arrives)),
                arrives_at=planning_model.instant_of(visit.arrives),
                arrives_to=planning_model.instant_of(max(_minute(told[key].high), visit.arrives)),
                starts_at=planning_model.instant_of(visit.starts),
                leaves_at=planning_model.instant_of(visit.leaves),
            )


def _minute(second: float) -> int:
    return round(second / STEP_SECONDS) * STEP_SECONDS


def _late(planning_model: PlanningModel, problem: Problem, schedule: Schedule) -> Iterator[CautionRow]:
    """The stops that are reached in their times less often than four times in five, whenever the rig leaves."""
    names = names_of(planning_model)
    for key in stops_at_risk(problem, schedule, planning_model.spread):
        yield CautionRow(code="tight", words=f"{names[key]}: {CAUTIONS['tight']}", stop_id=UUID(key))


def _deck_legs(schedule: Schedule, begin: RunStart) -> Iterator[tuple[int, int, DeckLayout, TowLoads | None]]:
    for number, stowage in enumerate(schedule.stowages):
        for leg, layout in enumerate(stowage.legs):
            yield begin.trip + number, leg, layout, stowage.tow_loads[leg] if stowage.tow_loads else None


def _margins(schedule: Schedule, begin: RunStart) -> Iterator[MarginRow]:
    for trip, leg, layout, pull in _deck_legs(schedule, begin):
        if pull is None or pull.smallest is None or not layout:
            continue
        least = pull.smallest
        yield MarginRow(
            trip=trip,
            leg=leg,
            rating=RATINGS[least.rating],
            limit_kg=round(least.limit_kg),
            load_kg=round(least.load_kg),
            left_kg=round(least.kg),
        )


def _decks(
    planning_model: PlanningModel,
    rig: RigDay,
    schedule: Schedule,
    facts: Mapping[str, PlanningStop],
    begin: RunStart,
    *,
    pounds: bool,
) -> Iterator[DeckRow]:
    for trip, leg, layout, pull in _deck_legs(schedule, begin):
        if not layout or pull is None or rig.deck is None or rig.trailer is None:
            continue
        names = {placed.key: facts[placed.key].label if placed.key in facts else "" for placed in layout}
        drawing = draw(rig.deck, rig.trailer, layout, pull, names, pounds=pounds)
        yield DeckRow(
            trip=trip,
            leg=leg,
            words=drawing.title,
            svg=svg(drawing),
            gross_kg=round(pull.gross_kg),
            tongue_kg=round(pull.tongue_kg),
            tongue_permille=round(1000 * pull.tongue_share),
            tie_downs=_tie_downs(layout, rig, planning_model.yard.least_tie_downs),
            tie_downs_there=rig.straps,
        )


def _tie_downs(layout: DeckLayout, rig: RigDay, least: int) -> int:
    pieces = [placed.piece for placed in layout]
    return sum(count_of_machine(one.length_cm, one.kg, shop_least=least, each=rig.strap) for one in pieces)


def _cautions(
    facts: PlanningRig, problem: Problem, schedule: Schedule, stops: Mapping[str, PlanningStop], *, pounds: bool
) -> Iterator[CautionRow]:
    rig = problem.rig_by_key[schedule.route.rig]
    carried = [stops[key] for key in schedule.route.keys if stops[key].kind != "visit"]
    for stop in carried:
        if stop.size.piece is None:
            words = f"{stop.label}: weight and length are not entered, so nothing here says how it loads."
            yield CautionRow(code="size_unknown", words=words, stop_id=UUID(stop.key))
        yield from _on_the_ramp(facts, stop, pounds=pounds)
    yield from _still_aboard(rig, stops)
    if carried and rig.trailer is None:
        what = "No trailer is entered" if facts.trailer is None else "The trailer's figures are not entered"
        words = f"{what}, so nothing here says what the load does to tongue and axles."
        yield CautionRow(code="trailer_unknown", words=words)
    for caution in _tied_down(rig, list(tie_downs(problem, rig, schedule.route))):
        yield CautionRow(code=caution.code, words=caution_words(caution, pounds=pounds))
    yield from _on_tongue_and_axles(rig, schedule, pounds=pounds)
    if carried:
        yield CautionRow(code="check_again", words=CAUTIONS["check_again"])


def _on_tongue_and_axles(rig: RigDay, schedule: Schedule, *, pounds: bool) -> Iterator[CautionRow]:
    """Each caution about the towed load once, however many legs it is true of."""
    if rig.trailer is None:
        return
    told: set[str] = set()
    for stowage in schedule.stowages:
        for layout, pull in zip(stowage.legs, stowage.tow_loads, strict=True):
            for caution in cautions.towing_cautions(rig.trailer, pull, loaded=bool(layout)):
                if caution.code not in told:
                    told.add(caution.code)
                    yield CautionRow(code=caution.code, words=caution_words(caution, pounds=pounds))


def _tied_down(rig: RigDay, legs: Sequence[LegTieDowns]) -> Iterator[cautions.LoadCaution]:
    """The leg that takes most tie-downs, and the heaviest one, beside what the rig carries."""
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
            words = f"{stops[key].label}: {CAUTIONS['still_aboard']}"
            yield CautionRow(code="still_aboard", words=words, stop_id=UUID(key))


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
        words = f"{stop.label}: {caution_words(caution, pounds=pounds)}"
        yield CautionRow(code=caution.code, words=words, stop_id=UUID(stop.key))


def caution_words(caution: cautions.LoadCaution, *, pounds: bool) -> str:
    """A caution in plain words, weights and lengths as the shop reads them."""
    told: dict[str, str] = {}
    for name, value in caution.facts.items():
        if isinstance(value, str):
            told[name] = RATINGS.get(value, value)
        elif name in ("over", "left", "tongue", "half", "hold"):
            told[name] = weight_words(value, pounds=pounds)
        elif name == "share":
            told[name] = f"{100 * value:.1f} %"
        elif name in ("degrees", "steepest"):
            told[name] = f"{value:.1f}°"
        elif name in ("side", "needed") and caution.code in ("side_offset", "ramp_steep"):
            told[name] = f"{abs(value) / float(CM_AN_INCH):.0f} in" if pounds else f"{abs(value):.0f} cm"
        else:
            told[name] = f"{value:g}"
    return CAUTIONS[caution.code].format(**told)


def left_out_rows(planning_model: PlanningModel, left: Sequence[LeftOut], *, pounds: bool) -> list[LeftOutRow]:
    """Every stop that no run serves, and why: those that no search could serve first."""
    kept = [LeftOutRow(stop_id=UUID(one.stop), code=one.code, words=one.words) for one in planning_model.excluded]
    names = names_of(planning_model)
    return kept + [
        LeftOutRow(stop_id=UUID(one.stop), code=one.code, words=reason_words(one.code, one.facts, names, pounds=pounds))
        for one in left
    ]


def names_of(planning_model: PlanningModel) -> dict[str, str]:
    """What to call each rig of the problem and each stop, by key; a rig with its day where there are several."""
    rigs = {
        rig_key(rig.key, day): rig.name if len(planning_model.days) == 1 else f"{rig.name} on {day:%A}"
        for rig in planning_model.rigs
        for day in planning_model.days
    }
    return rigs | {stop.key: stop.label for stop in planning_model.stops}


def reason_words(code: str, facts: Facts, names: Mapping[str, str], *, pounds: bool) -> str:
    """A reason in plain words, with names and with figures as the shop reads them."""
    told = {name: str(value) for name, value in facts.items()}
    for name in {"rig", "other", "after"} & told.keys():
        told[name] = names.get(told[name], "another stop" if name != "rig" else "the rig")
    if "late" in facts:
        told["late"] = _minutes_words(float(facts["late"]))
    if "over_kg" in facts:
        told["over_kg"] = weight_words(float(facts["over_kg"]), pounds=pounds)
    if "rating" in facts:
        told["rating"] = RATINGS.get(told["rating"], told["rating"])
    if code == "access":
        told["needs"] = ", ".join(NEEDS.get(need, need) for need in told["needs"].split(", "))
    if code == "load":
        told |= _load_words(facts, pounds=pounds)
    return _template(code, facts).format(**told)


def _template(code: str, facts: Facts) -> str:
    if code == "load":
        code = f"load_{DIMENSIONS[int(float(facts['dimension']))]}"
    if "alone" in facts:
        return REASONS["access_pinned" if code == "access" and facts.get("pinned") else code]
    if "other" in facts and f"{code}_other" in BESIDE_OTHERS:
        code = f"{code}_other"
    return BESIDE_OTHERS.get(code, REASONS.get(code, ""))


def _load_words(facts: Facts, *, pounds: bool) -> dict[str, str]:
    """What it comes to and the most, so exact that a load past the most reads as more."""
    dimension = DIMENSIONS[int(float(facts["dimension"]))]
    load, most = float(facts["load"]), float(facts["most"])
    if dimension == "machines":
        return {"load": _machines(round(load)), "most": _machines(round(most))}
    each, unit = 1.0, dimension
    if pounds:
        each, unit = (float(KG_A_POUND), "lb") if dimension == "kg" else (float(CM_AN_INCH), "in")
    places = next(places for places in (0, 1, 2, 3, 6) if round(load / each, places) > round(most / each, places))
    return {"load": f"{load / each:,.{places}f} {unit}", "most": f"{most / each:,.{places}f} {unit}"}


def _machines(count: int) -> str:
    return f"{count} machine{'' if count == 1 else 's'}"


def _minutes_words(seconds: float) -> str:
    hours, minutes = divmod(ceil(seconds / 60), 60)
    return " ".join([f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes))
