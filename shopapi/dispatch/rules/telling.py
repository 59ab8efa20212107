"""A plan that holds, told as rows: when, how sure, what stands where, what to mind."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, sqrt
from uuid import UUID

from shopapi.dispatch.rules import cautions
from shopapi.dispatch.rules.check import Timed, Verdict
from shopapi.dispatch.rules.deck import Standing
from shopapi.dispatch.rules.drawing import draw, svg, weight_words
from shopapi.dispatch.rules.load import Towing
from shopapi.dispatch.rules.outing import Outing, RigFacts, Size, StopFacts, rig_of
from shopapi.dispatch.rules.problem import LeftOut, Problem, Rig
from shopapi.dispatch.rules.ramp import STEEPEST_DEGREES, Ramp, climb
from shopapi.dispatch.rules.records import Caution, DeckRow, LeftOutRow, LegRow, MarginRow, PlannedRun, PlannedStop
from shopapi.dispatch.rules.tiedowns import count_of_machine
from shopapi.dispatch.rules.wording import BESIDE_OTHERS, CAUTIONS, REASONS

# Nobody waits for a truck by the minute.
STEP_SECONDS = 300
CM_AN_INCH = 2.54

# What the planner's dimensions of a load are counted in, in their order.
COUNTED = ("kg", "cm of deck", "machines")

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
class Place:
    """Where a rig's plan begins in its run: the run's id, and how many trips and stops of it are over already."""

    run_id: UUID
    trip: int = 0
    position: int = 0


def planned_runs(
    outing: Outing, problem: Problem, verdict: Verdict, begins: Mapping[str, Place], *, pounds: bool
) -> list[PlannedRun]:
    """The runs of a checked plan, in the order of days and rigs. `begins`: for each rig of the problem."""
    facts = {stop.key: stop for stop in outing.stops}
    rigs = {rig.key: rig for rig in outing.rigs}
    found = []
    for timed in sorted(verdict.timed, key=lambda one: (rig_of(one.route.rig)[1], one.route.rig)):
        key, day = rig_of(timed.route.rig)
        rig = problem.rig_by_key[timed.route.rig]
        begin = begins[rig.key]
        found.append(
            PlannedRun(
                run_id=begin.run_id,
                rig_id=UUID(key),
                day=day,
                leaves_at=outing.instant_of(timed.leaves),
                home_at=outing.instant_of(timed.home),
                metres=timed.metres,
                drive_seconds=sum(leg.seconds for leg in _legs(problem, rig, timed)),
                stops=list(_stops(outing, problem, rig, timed, begin)),
                cautions=list(_cautions(rigs[key], rig, timed, facts, pounds=pounds)),
                margins=list(_margins(timed, begin)),
                decks=list(_decks(outing, rig, timed, facts, begin, pounds=pounds)),
                legs=list(_leg_rows(outing, problem, rig, timed, begin)),
            )
        )
    return found


@dataclass(frozen=True)
class _Leg:
    """One drive: of which trip, to which stop (None: home), how far and how long."""

    trip: int
    stop: str | None
    metres: int
    seconds: int


def _legs(problem: Problem, rig: Rig, timed: Timed) -> Iterator[_Leg]:
    """Each drive in order, the ones home included."""
    roads = problem.roads[rig.roads]
    here = problem.shop if rig.start is None else rig.start
    for number, trip in enumerate(timed.route.trips):
        for key in (*trip, None):
            there = problem.shop if key is None else problem.by_key[key].place
            yield _Leg(number, key, roads.metres[here][there], roads.seconds[here][there])
            here = there


def _leg_rows(outing: Outing, problem: Problem, rig: Rig, timed: Timed, begin: Place) -> Iterator[LegRow]:
    habits = outing.yard.habits
    number = 0
    for leg in _legs(problem, rig, timed):
        yield LegRow(
            trip=begin.trip + leg.trip,
            leg=number,
            stop_id=None if leg.stop is None else UUID(leg.stop),
            metres=leg.metres,
            seconds=leg.seconds,
            low_seconds=floor(leg.seconds * habits.low),
            high_seconds=ceil(leg.seconds * habits.high),
        )
        number = 0 if leg.stop is None else number + 1


def _stops(outing: Outing, problem: Problem, rig: Rig, timed: Timed, begin: Place) -> Iterator[PlannedStop]:
    """Each stop with the interval of its arrival: drives miss by themselves, so their misses add up as squares do."""
    habits = outing.yard.habits
    visits = {visit.stop: visit for visit in timed.visits}
    drives = _legs(problem, rig, timed)
    early = late = 0.0
    for number, trip in enumerate(timed.route.trips):
        for place, key in enumerate(trip):
            drive = next(drives).seconds
            early += (drive * (1 - habits.low)) ** 2
            late += (drive * (habits.high - 1)) ** 2
            visit = visits[key]
            offset = begin.position if number == 0 else 0
            yield PlannedStop(
                stop_id=UUID(key),
                trip=begin.trip + number,
                position=offset + place,
                arrives_from=outing.instant_of(_floor(visit.arrives - sqrt(early))),
                arrives_at=outing.instant_of(visit.arrives),
                arrives_to=outing.instant_of(-_floor(-visit.arrives - sqrt(late))),
                starts_at=outing.instant_of(visit.starts),
                leaves_at=outing.instant_of(visit.leaves),
            )
        next(drives)


def _floor(second: float) -> int:
    return int(second // STEP_SECONDS) * STEP_SECONDS


def _each_leg(timed: Timed, begin: Place) -> Iterator[tuple[int, int, Standing, Towing | None]]:
    for number, stowed in enumerate(timed.stowed):
        for leg, standing in enumerate(stowed.legs):
            yield begin.trip + number, leg, standing, stowed.towing[leg] if stowed.towing else None


def _margins(timed: Timed, begin: Place) -> Iterator[MarginRow]:
    for trip, leg, standing, pull in _each_leg(timed, begin):
        if pull is None or pull.smallest is None or not standing:
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
    outing: Outing, rig: Rig, timed: Timed, facts: Mapping[str, StopFacts], begin: Place, *, pounds: bool
) -> Iterator[DeckRow]:
    for trip, leg, standing, pull in _each_leg(timed, begin):
        if not standing or pull is None or rig.deck is None or rig.trailer is None:
            continue
        names = {placed.key: facts[placed.key].label if placed.key in facts else "" for placed in standing}
        drawing = draw(rig.deck, rig.trailer, standing, pull, names, pounds=pounds)
        yield DeckRow(
            trip=trip,
            leg=leg,
            words=drawing.title,
            svg=svg(drawing),
            gross_kg=round(pull.gross_kg),
            tongue_kg=round(pull.tongue_kg),
            tongue_permille=round(1000 * pull.tongue_share),
            tie_downs=_tie_downs(standing, outing.yard.least_tie_downs),
        )


def _tie_downs(standing: Standing, least: int) -> int:
    return sum(count_of_machine(one.piece.length_cm / 100, one.piece.kg, shop_least=least) for one in standing)


def _cautions(
    facts: RigFacts, rig: Rig, timed: Timed, stops: Mapping[str, StopFacts], *, pounds: bool
) -> Iterator[Caution]:
    carried = [stops[key] for key in timed.route.keys if stops[key].kind != "visit"]
    for stop in carried:
        if stop.size.piece is None:
            words = f"{stop.label}: weight and length are not entered, so nothing here says how it loads."
            yield Caution(code="size_unknown", words=words, stop_id=UUID(stop.key))
        yield from _on_the_ramp(facts, stop, pounds=pounds)
    yield from _still_aboard(rig, stops)
    if carried and rig.trailer is None:
        words = "The trailer's figures are not entered, so nothing here says what the load does to tongue and axles."
        yield Caution(code="trailer_unknown", words=words)
    told: set[str] = set()
    if rig.trailer is not None:
        for stowed in timed.stowed:
            for standing, pull in zip(stowed.legs, stowed.towing, strict=True):
                for caution in cautions.towing_cautions(rig.trailer, pull, loaded=bool(standing)):
                    if caution.code not in told:
                        told.add(caution.code)
                        yield Caution(code=caution.code, words=caution_words(caution, pounds=pounds))
    if carried:
        yield Caution(code="check_again", words=CAUTIONS["check_again"])


def _still_aboard(rig: Rig, stops: Mapping[str, StopFacts]) -> Iterator[Caution]:
    for key, _ in rig.on_deck:
        if key in stops and stops[key].kind == "return":
            words = f"{stops[key].label}: {CAUTIONS['still_aboard']}"
            yield Caution(code="still_aboard", words=words, stop_id=UUID(key))


def _on_the_ramp(facts: RigFacts, stop: StopFacts, *, pounds: bool) -> Iterator[Caution]:
    height = facts.deck.height_cm
    if facts.ramp_length_cm is None or height is None:
        return
    size: Size = stop.size
    up = climb(Ramp(facts.ramp_length_cm, height), wheelbase_cm=size.wheelbase_cm, clearance_cm=size.clearance_cm)
    for caution in cautions.ramp_cautions(up, steepest=STEEPEST_DEGREES):
        words = f"{stop.label}: {caution_words(caution, pounds=pounds)}"
        yield Caution(code=caution.code, words=words, stop_id=UUID(stop.key))


def caution_words(caution: cautions.Caution, *, pounds: bool) -> str:
    """A caution in plain words, weights and lengths as the shop reads them."""
    told: dict[str, str] = {}
    for name, value in caution.facts.items():
        if isinstance(value, str):
            told[name] = RATINGS.get(value, value)
        elif name in ("over", "left", "tongue"):
            told[name] = weight_words(value, pounds=pounds)
        elif name == "share":
            told[name] = f"{100 * value:.1f} %"
        elif name in ("degrees", "steepest"):
            told[name] = f"{value:.1f}°"
        elif name in ("side", "needed") and caution.code in ("side_offset", "ramp_steep"):
            told[name] = f"{abs(value) / CM_AN_INCH:.0f} in" if pounds else f"{abs(value):.0f} cm"
        else:
            told[name] = f"{value:g}"
    return CAUTIONS[caution.code].format(**told)


def left_out_rows(outing: Outing, left: Sequence[LeftOut]) -> list[LeftOutRow]:
    """Every stop that no run serves, and why: those that no search could serve first."""
    kept = [LeftOutRow(stop_id=UUID(one.stop), code=one.code, words=one.words) for one in outing.out]
    return kept + [
        LeftOutRow(stop_id=UUID(one.stop), code=one.code, words=reason_words(one.code, one.facts)) for one in left
    ]


def reason_words(code: str, facts: Mapping[str, object]) -> str:
    """A reason in plain words; figures of a load with what they count."""
    told = {name: RATINGS.get(str(value), value) for name, value in facts.items()}
    if code == "load":
        unit = COUNTED[int(str(facts["dimension"]))]
        told |= {name: f"{told[name]} {unit}" for name in ("load", "most")}
    words = REASONS[code] if "alone" in facts else BESIDE_OTHERS.get(code, REASONS[code])
    return words.format(**told)
