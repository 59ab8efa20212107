"""The input of a plan, read in one transaction: rigs, stops, positions, and a digest of each row."""

import hashlib
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, FieldError, Reason
from shopapi.core.ids import uuid7
from shopapi.core.schema import Schema, parse
from shopapi.core.units import exact, exact_or_none
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Run, Stop, Yard
from shopapi.dispatch.queries.stop_facts import place_key, position_of, stop_facts
from shopapi.dispatch.rules.deck_state import on_deck, trip_of, undelivered
from shopapi.dispatch.rules.plan_view import RunStart
from shopapi.dispatch.rules.planning_model import (
    PlanningModel,
    PlanningRig,
    PlanningStop,
    PlanningYard,
    capacity_of,
    load_of,
    rig_key,
)
from shopapi.dispatch.rules.schemas.rig import BreakFields, DeckFields, TrailerFields, TruckFields
from shopapi.dispatch.rules.schemas.yard import LearnedTimes
from shopapi.dispatch.rules.states import BEEN, LIVE_RUNS
from shopapi.planner.arrival import USUAL_WORK
from shopapi.planner.loading.tie_downs import TieDown
from shopapi.planner.problem import Route
from shopapi.planner.replan import RigPosition
from shopapi.planner.travel import TravelProfile


@dataclass(frozen=True)
class PlanningInput:
    """The days to plan with their current state.

    `routes`: the current plan; `rig_positions`: where rigs on the road are, if the rest of today is planned; `begins`:
    where each rig's plan begins in its run; `drivers`: who drives it; `basis`: a digest of each row that the plan
    depends on, with its name in `names`.
    """

    planning_model: PlanningModel
    routes: tuple[Route, ...]
    rig_positions: Mapping[str, RigPosition]
    begins: Mapping[str, RunStart]
    drivers: Mapping[str, UUID | None]
    basis: Mapping[str, str]
    names: Mapping[str, str | Reason]


def load_planning_input(
    actor: Actor, days: Sequence[date], *, from_now: bool, now: datetime, driver_id: UUID | None = None
) -> PlanningInput:
    """Read the input of a plan of these days. Raises Conflict while there is no yard or no rig.

    `driver_id`: only this member's runs may change, and only new stops that follow from them are included.
    """
    zone = ZoneInfo(shop_of(actor).zone)
    yard = queries.yards(actor).first()
    if yard is None or yard.lat is None or yard.lon is None:
        raise Conflict("yard_missing", fields=[FieldError("days", "yard_missing")])
    rigs = list(queries.rigs(actor).filter(active=True).order_by("id"))
    if not rigs:
        raise Conflict("rig_missing", fields=[FieldError("days", "rig_missing")])
    runs = list(queries.runs(actor).filter(day__in=days, state__in=LIVE_RUNS).order_by("id"))
    free = {run.id: run for run in runs if run.state == "planned" or (run.state == "driving" and from_now)}
    if driver_id is not None:
        runs = [run for run in runs if run.driver_id == driver_id]
        free = {run.id: run for run in runs if run.id in free}
        rigs = [rig for rig in rigs if any(run.rig_id == rig.id for run in runs)]
    stops = _stops(actor, free, days, own=driver_id is not None)
    on_road = [run for run in free.values() if run.state == "driving"]
    done = {stop.id for stop in stops if stop.state in BEEN}
    by_run: dict[UUID, list[Stop]] = defaultdict(list)
    for stop in stops:
        if stop.run_id is not None:
            by_run[stop.run_id].append(stop)
    facts = stop_facts(actor, stops, yard, days, zone)
    _pin_tried_again(facts, on_road, by_run, stops)
    planning_model = PlanningModel(
        yard=_yard_facts(yard),
        rigs=tuple(map(_rig_facts, rigs)),
        stops=tuple(facts[stop.id] for stop in stops),
        days=tuple(days),
        zone=zone,
        since=now,
        shut=frozenset((str(run.rig_id), run.day) for run in runs if run.id not in free),
        done=frozenset(map(str, done)),
    )
    rig_positions = {
        rig_key(str(run.rig_id), run.day): _rig_position(planning_model, by_run[run.id], now) for run in on_road
    }
    begins, drivers = _run_starts(rigs, days, free.values(), by_run, rig_positions)
    return PlanningInput(
        planning_model=planning_model,
        routes=tuple(_route(run, by_run[run.id]) for run in free.values() if by_run[run.id]),
        rig_positions=rig_positions,
        begins=begins,
        drivers=drivers,
        basis=_basis(
            yard, planning_model, stops, runs, {key for one in rig_positions.values() for key in one.underway}
        ),
        names=_names(planning_model, runs),
    )


def _stops(actor: Actor, free: Mapping[UUID, Run], days: Sequence[date], *, own: bool) -> list[Stop]:
    """Stops that are not planned yet, and stops on runs that may change.

    `own`: of unplanned stops only urgent ones and those that try again what failed on these runs.
    """
    asked = Q(state="asked")
    if own:
        asked &= Q(priority="first") | Q(again_of__run__in=list(free))
    found = queries.stops(actor).filter(asked | Q(run__in=list(free)))
    related = found.select_related("job__machine", "job__customer", "site", "supplier").exclude(state="dropped")
    return list(related.order_by("trip", "position", "id"))


def _tried_again(run: Sequence[Stop], stops: Sequence[Stop]) -> list[Stop]:
    """The new stops for failed returns of this run whose machines are still on the deck."""
    failed = {stop.id for stop in undelivered(run)}
    return [stop for stop in stops if stop.again_of_id in failed]


def _pin_tried_again(
    facts: dict[UUID, PlanningStop],
    on_road: Iterable[Run],
    by_run: Mapping[UUID, Sequence[Stop]],
    stops: Sequence[Stop],
) -> None:
    """Pin each repeated return to the rig that has the machine on its deck.

    Only that rig can bring the machine to the shop and take it out again.
    """
    for run in on_road:
        for stop in _tried_again(by_run[run.id], stops):
            facts[stop.id] = replace(facts[stop.id], pin_rig=facts[stop.id].pin_rig or str(run.rig_id))


def _run_starts(
    rigs: Sequence[Rig],
    days: Sequence[date],
    free: Iterable[Run],
    by_run: Mapping[UUID, list[Stop]],
    rig_positions: Mapping[str, RigPosition],
) -> tuple[dict[str, RunStart], dict[str, UUID | None]]:
    """Where each rig's plan of each day begins in its run, and who drives it; a day without a run gets a new run id."""
    by_rig = {(run.rig_id, run.day): run for run in free}
    begins: dict[str, RunStart] = {}
    drivers: dict[str, UUID | None] = {}
    for rig in rigs:
        for day in days:
            known = by_rig.get((rig.id, day))
            key = rig_key(str(rig.id), day)
            begins[key] = (
                RunStart(uuid7()) if known is None else _run_start(known, by_run[known.id], rig_positions.get(key))
            )
            drivers[key] = rig.driver_id if known is None else known.driver_id
    return begins, drivers


def _yard_facts(yard: Yard) -> PlanningYard:
    return PlanningYard(
        position=position_of(yard.lat, yard.lon),
        opens=yard.opens,
        closes=yard.closes,
        loading_minutes=yard.loading_minutes,
        tongue=(yard.tongue_low_permille / 1000, yard.tongue_high_permille / 1000),
        least_tie_downs=yard.least_tie_downs,
        travel_profile=travel_profile_of(yard),
    )


def travel_profile_of(yard: Yard) -> TravelProfile:
    """How this shop drives: as set, else as learned, else the defaults."""
    usual = TravelProfile(trailer=100 / (100 - yard.trailer_percent), per_stop=60 * yard.turn_in_minutes)
    if yard.speed_kmh is not None:
        bands = tuple(replace(band, km_per_hour=float(yard.speed_kmh)) for band in usual.bands)
        return replace(usual, bands=bands)
    learned = parse(LearnedTimes, yard.learned)
    if learned.drive_permille is None or not learned.drive_count:
        return usual
    slower = learned.drive_permille / 1000
    bands = tuple(replace(band, km_per_hour=band.km_per_hour / slower) for band in usual.bands)
    low = usual.low if learned.drive_low_permille is None else learned.drive_low_permille / 1000
    high = usual.high if learned.drive_high_permille is None else learned.drive_high_permille / 1000
    return replace(usual, bands=bands, low=low, high=high, drives=learned.drive_count)


def _rig_facts(rig: Rig) -> PlanningRig:
    return PlanningRig(
        key=str(rig.id),
        name=rig.name,
        home=position_of(rig.home_lat, rig.home_lon),
        crew=rig.crew,
        payload_kg=exact(rig.payload_kg, rig.payload_typed),
        deck=parse(DeckFields, rig.deck),
        trailer=None if rig.trailer is None else parse(TrailerFields, rig.trailer),
        truck=None if rig.truck is None else parse(TruckFields, rig.truck),
        winch=rig.winch,
        ramp_length_cm=exact_or_none(rig.ramp_length_cm, rig.ramp_length_typed),
        straps=rig.straps,
        strap=_strap(rig),
        shift_opens=rig.shift_opens,
        shift_closes=rig.shift_closes,
        breaks=tuple(parse(BreakFields, rest) for rest in rig.breaks),
        out=rig.out_at is not None,
    )


def _strap(rig: Rig) -> TieDown | None:
    wll = exact_or_none(rig.strap_wll_kg, rig.strap_wll_typed)
    return None if wll is None else TieDown((wll,), crosses=rig.straps_cross)


# Where the rigs are


def _rig_position(planning_model: PlanningModel, stops: Sequence[Stop], now: datetime) -> RigPosition:
    """Where a rig on the road is: at its last visited stop, or at the yard before the first stop and between trips."""
    been = [stop for stop in stops if stop.state in BEEN]
    ahead = [stop for stop in stops if stop.state == "driving" and _has_place(planning_model, stops, stop)]
    last = max(been, key=lambda stop: stop.been_at or now, default=None)
    free_at, place = now, None
    if last is not None and last.trip == trip_of(stops):
        place = planning_model.place_of(place_key(last))
        if last.state == "arrived" and last.arrived_at is not None:
            minutes = next(facts.minutes for facts in planning_model.stops if facts.key == str(last.id))
            free_at = max(now, last.arrived_at + timedelta(minutes=minutes))
    return RigPosition(
        place=place,
        free_at=planning_model.second_of(free_at),
        underway=tuple(str(stop.id) for stop in ahead),
        aboard=tuple(str(stop.id) for stop in on_deck(stops)),
        undelivered=frozenset(str(stop.id) for stop in undelivered(stops)),
    )


def _has_place(planning_model: PlanningModel, stops: Sequence[Stop], ahead: Stop) -> bool:
    """Whether the machine a rig is driving to fetch still fits on the deck with those it could not hand over."""
    if not undelivered(stops) or ahead.kind != "pickup" or ahead.run is None:
        return True
    sizes = {facts.key: facts.size for facts in planning_model.stops}
    loads = [load_of(sizes[str(stop.id)]) for stop in (*on_deck(stops), ahead)]
    most = capacity_of(next(rig for rig in planning_model.rigs if rig.key == str(ahead.run.rig_id)))
    return all(sum(load) <= limit for load, limit in zip(zip(*loads, strict=True), most, strict=True))


def _run_start(run: Run, stops: Sequence[Stop], position: RigPosition | None) -> RunStart:
    if position is None:
        return RunStart(run.id)
    trip = trip_of(stops)
    over = sum(stop.trip == trip and (stop.state in BEEN or str(stop.id) in position.underway) for stop in stops)
    return RunStart(run.id, trip, over)


def _route(run: Run, stops: Sequence[Stop]) -> Route:
    trips: dict[int, list[str]] = defaultdict(list)
    for stop in sorted(stops, key=lambda one: (one.trip, one.position, one.id)):
        trips[stop.trip].append(str(stop.id))
    return Route(rig_key(str(run.rig_id), run.day), tuple(tuple(trips[at]) for at in sorted(trips)))


# What must not change until an answer is accepted


def _basis(
    yard: Yard, planning_model: PlanningModel, stops: Sequence[Stop], runs: Sequence[Run], underway: Collection[str]
) -> dict[str, str]:
    """A digest of the fields used of each row. Stops that are done or under way are left out, so they may progress."""
    facts = {one.key: one for one in planning_model.stops}
    found = {
        f"stop/{stop.id}": _digest(
            replace(facts[str(stop.id)], minutes=stop.service_minutes or 0, work=USUAL_WORK),
            stop.run_id,
            stop.trip,
            stop.position,
        )
        for stop in stops
        if str(stop.id) not in planning_model.done and str(stop.id) not in underway
    }
    found |= {f"rig/{rig.key}": _digest(rig) for rig in planning_model.rigs}
    found |= {f"run/{run.id}": _digest(run.state, run.rig_id, run.day) for run in runs}
    # Learned figures may change meanwhile; settings may not.
    found["yard"] = _digest(
        replace(planning_model.yard, travel_profile=TravelProfile()), yard.speed_kmh, yard.trailer_percent
    )
    return found


def _digest(*values: object) -> str:
    return hashlib.sha256(repr(_field_values(values)).encode()).hexdigest()[:16]


def _field_values(value: object) -> object:
    """The value without class and field names, so that renaming one in the code does not make a plan outdated."""
    if is_dataclass(value):
        return [_field_values(getattr(value, field.name)) for field in fields(value) if field.compare]
    if isinstance(value, Schema):
        return list(value.model_dump().values())
    if isinstance(value, tuple | list):
        return [_field_values(each) for each in value]
    return value


def _names(planning_model: PlanningModel, runs: Sequence[Run]) -> dict[str, str | Reason]:
    """A name for each row of a basis, for messages."""
    rigs = {rig.key: rig.name for rig in planning_model.rigs}
    named: dict[str, str | Reason] = {
        f"stop/{stop.key}": Reason(f"changed_{stop.kind}", {"stop": stop.label}) for stop in planning_model.stops
    }
    named |= {f"rig/{key}": name for key, name in rigs.items()}
    for run in runs:
        named[f"run/{run.id}"] = Reason("changed_run", {"rig": rigs.get(str(run.rig_id), Reason("a_rig"))})
    return named | {"yard": Reason("changed_yard")}
