"""Build the planner's problem from a shop's rigs and stops.

Each rig on each day is a rig of the problem. Times are elapsed seconds since the first day's local midnight, so that
days with a clock change have 23 or 25 hours.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from shopapi.core.errors import Invalid, Reason
from shopapi.dispatch.rules.daylight import PolarSun, daylight
from shopapi.dispatch.rules.schemas.rig import BreakFields, DeckFields, MeasuredFields, TrailerFields, TruckFields
from shopapi.dispatch.rules.schemas.run import ExclusionCode
from shopapi.dispatch.rules.schemas.stop import Need, Priority, StopKind
from shopapi.planner.arrival import USUAL_WORK, Spread, WorkSpread
from shopapi.planner.geodesics import Position
from shopapi.planner.loading.deck import Deck, Exact, Piece
from shopapi.planner.loading.stowage import Trailer, Truck
from shopapi.planner.loading.tie_downs import TieDown
from shopapi.planner.problem import Break, Costs, Load, Problem, RigDay, StopTask, TimeWindow, TravelMatrix
from shopapi.planner.travel import NamedPosition, TravelProfile, check_position, estimate_drive

# The cost of a second under way in metres: about the price of a mechanic's hour against that of a truck's mile.
COSTS = Costs(metre=1, second=20)
# Codes of stops that are only meant for other days than those planned.
OTHER_DAYS = ("pinned_elsewhere", "too_early", "other_day")
# How long fetching parts takes where the supplier says nothing else. Drawbar's own; no source.
FETCH_MINUTES = 15
# Only these change what is on the deck.
CARRIED: Collection[StopKind] = ("pickup", "return")
# The cost of leaving a stop for another day, in metres: the driving and time that serving it is worth.
PRIZES: Mapping[Priority, int] = {"usual": 80_000, "soon": 240_000, "first": 1_000_000}
GAP_CM = 15
# Indexes of the travel matrices: with a trailer, and without one.
TOWING, ALONE = 0, 1
# A place that is not further off than this is found from there; its times are as sure as any.
ROUGH_METRES = 500
NO_LIMIT = 10**7
THE_YARD = Reason("the_yard")


@dataclass(frozen=True)
class PlanningYard:
    """The yard: place, hours, default `minutes` per kind of stop, and the tongue weight range as shares."""

    position: Position | None
    opens: str
    closes: str
    loading_minutes: int
    tongue: tuple[float, float]
    least_tie_downs: int
    travel_profile: TravelProfile


@dataclass(frozen=True)
class PlanningRig:
    """A rig with its figures as entered. `out`: broken down."""

    key: str
    name: str
    home: Position | None
    crew: int
    payload_kg: Exact
    deck: DeckFields
    trailer: TrailerFields | None
    truck: TruckFields | None
    winch: bool
    ramp_length_cm: Exact | None
    straps: int | None
    strap: TieDown | None
    shift_opens: str
    shift_closes: str
    breaks: tuple[BreakFields, ...]
    out: bool


@dataclass(frozen=True)
class MachineSize:
    """A machine's measures; None: not entered."""

    mass_kg: Exact | None = None
    length_cm: Exact | None = None
    width_cm: Exact | None = None
    wheelbase_cm: Exact | None = None
    clearance_cm: Exact | None = None
    tie_points: int | None = None

    @property
    def piece(self) -> Piece | None:
        if self.mass_kg is None or self.length_cm is None:
            return None
        return Piece(_simplify(self.mass_kg), _simplify(self.length_cm), _simplify(self.width_cm or 0))


@dataclass(frozen=True)
class PlanningStop:
    """A stop with the data of its job, machine and site. `promise`: the arrival promised to its customer.

    `minutes`: of work there; `work`: their spread.
    `waits`: why its machine cannot leave the shop yet; None when it can. `within_m`: how far from its position the
    place may be.
    """

    key: str
    label: str
    kind: StopKind
    site: str
    place: str
    position: Position | None
    windows: tuple[tuple[datetime, datetime], ...]
    minutes: int
    needs: tuple[Need, ...]
    priority: Priority
    earliest_on: date | None
    promised_on: date | None
    wait_until: date | None
    by_daylight: bool
    pin_rig: str | None
    pin_at: datetime | None
    pin_after: str | None
    promise: tuple[datetime, datetime] | None
    size: MachineSize
    work: WorkSpread = USUAL_WORK
    waits: Reason | None = None
    within_m: int = 0


@dataclass(frozen=True)
class ExcludedStop:
    """A stop that is excluded before the search, and why."""

    stop: str
    code: ExclusionCode
    reason: Reason


@dataclass(frozen=True)
class PlanningModel:
    """The days to plan. `since`: nothing is planned before this instant. `shut`: rigs of a day that are not planned."""

    yard: PlanningYard
    rigs: tuple[PlanningRig, ...]
    stops: tuple[PlanningStop, ...]
    days: tuple[date, ...]
    zone: ZoneInfo
    since: datetime | None = None
    shut: Collection[tuple[str, date]] = frozenset()
    done: frozenset[str] = frozenset()
    _places: dict[str, int] = field(default_factory=dict, compare=False)

    @property
    def start(self) -> datetime:
        """The instant at which the problem's time is 0."""
        return datetime.combine(self.days[0], time(), self.zone)

    def second_of(self, instant: datetime) -> int:
        return round((instant - self.start).total_seconds())

    def instant_of(self, second: int) -> datetime:
        # Computed in UTC: adding seconds to a local time would ignore a clock change.
        return datetime.fromtimestamp(self.start.timestamp() + second, self.zone)

    def _at(self, day: date, clock: str) -> int:
        return self.second_of(datetime.combine(day, time.fromisoformat(clock), self.zone))

    def _whole(self, day: date) -> TimeWindow:
        return TimeWindow(self._at(day, "00:00"), self._at(day + timedelta(days=1), "00:00") - 1)

    @cached_property
    def excluded(self) -> tuple[ExcludedStop, ...]:
        """The stops that cannot be planned whatever the travel times are."""
        return tuple(kept for stop in self.stops if (kept := self._exclusion(stop)) is not None)

    @cached_property
    def able(self) -> tuple[PlanningStop, ...]:
        """The stops to be planned, including those already done."""
        gone = {kept.stop for kept in self.excluded}
        return tuple(stop for stop in self.stops if stop.key not in gone)

    @cached_property
    def places(self) -> tuple[NamedPosition, ...]:
        """The yard, then each site and home once."""
        found = [NamedPosition(THE_YARD, self.yard.position)]
        for key, place in (
            *((stop.site, NamedPosition(stop.place, stop.position)) for stop in self.able),
            *((rig.key, _home_of(rig)) for rig in self.rigs if rig.home is not None),
        ):
            if key not in self._places:
                self._places[key] = len(found)
                found.append(place)
        return tuple(found)

    def place_of(self, key: str) -> int:
        """The index of a site or of a rig's home in the travel matrix."""
        assert self.places  # noqa: S101 - filled by reading them
        return self._places[key]

    def _exclusion(self, stop: PlanningStop) -> ExcludedStop | None:
        if stop.key in self.done:
            return None
        if stop.waits is not None:
            return ExcludedStop(stop.key, "job_not_ready", stop.waits)
        broken = next((rig for rig in self.rigs if rig.out and rig.key == stop.pin_rig), None)
        if broken is not None:
            return ExcludedStop(stop.key, "rig_out", Reason("pinned_to_broken_rig", {"rig": broken.name}))
        try:
            check_position(
                self.yard.travel_profile,
                NamedPosition(THE_YARD, self.yard.position),
                NamedPosition(stop.place, stop.position),
            )
        except Invalid as refused:
            if self.yard.position is None:
                raise
            code: ExclusionCode = "position_far" if refused.reason.code == "position_far" else "position_missing"
            return ExcludedStop(stop.key, code, refused.reason)
        if not self._windows(stop):
            return ExcludedStop(stop.key, *self._why_not_now(stop))
        return None

    def _why_not_now(self, stop: PlanningStop) -> tuple[ExclusionCode, Reason]:
        """Why none of a stop's times is on these days."""
        if stop.pin_at is not None:
            return "pinned_elsewhere", _on_day("pinned_to_day", stop.pin_at.astimezone(self.zone).date())
        if stop.earliest_on is not None and stop.earliest_on > self.days[-1]:
            return "too_early", _on_day("not_before_day", stop.earliest_on)
        own = sorted(opens.astimezone(self.zone).date() for opens, _ in stop.windows)
        later = next((day for day in own if day > self.days[-1]), None)
        if later is not None:
            return "other_day", _on_day("next_times_on_day", later)
        if own and max(closes for _, closes in stop.windows).astimezone(self.zone).date() < self.days[0]:
            return "times_over", _on_day("times_over_since_day", own[-1])
        if stop.by_daylight:
            return "daylight", Reason("no_daylight_left")
        return "no_window", Reason("no_time_on_these_days")

    def _windows(self, stop: PlanningStop) -> tuple[TimeWindow, ...]:
        """When work may begin: the stop's windows on these days, limited by dates, daylight, pin and promise."""
        if stop.pin_at is not None:
            pinned = self.second_of(stop.pin_at)
            return (
                (TimeWindow(pinned, pinned),) if any(_contains(self._whole(day), pinned) for day in self.days) else ()
            )
        if stop.promise is not None and any(
            _contains(self._whole(day), self.second_of(stop.promise[0])) for day in self.days
        ):
            return (TimeWindow(*map(self.second_of, stop.promise)),)
        return tuple(
            window for day in self.days if self._is_allowed_on(stop, day) for window in self._windows_on(stop, day)
        )

    def _is_allowed_on(self, stop: PlanningStop, day: date) -> bool:
        # A promised day that has passed no longer restricts the days; it only makes the stop urgent.
        late = stop.promised_on is not None and stop.promised_on >= self.days[0] and day > stop.promised_on
        return not late and (stop.earliest_on is None or day >= stop.earliest_on)

    def _windows_on(self, stop: PlanningStop, day: date) -> Iterator[TimeWindow]:
        whole = self._whole(day)
        light = self._daylight_window(stop, day) if stop.by_daylight else whole
        if light is None:
            return
        own = [TimeWindow(self.second_of(opens), self.second_of(closes)) for opens, closes in stop.windows]
        for window in own or [whole]:
            opens = max(window.opens, whole.opens, light.opens)
            closes = min(window.closes, whole.closes, light.closes)
            if opens <= closes:
                yield TimeWindow(opens, closes)

    def _daylight_window(self, stop: PlanningStop, day: date) -> TimeWindow | None:
        """When work may begin so that it ends in daylight; None: there is not enough daylight."""
        assert stop.position is not None  # noqa: S101 - those without were taken out
        found = daylight(day, stop.position.latitude, stop.position.longitude)
        if found is PolarSun.STAYS_UP:
            return self._whole(day)
        if found is PolarSun.STAYS_DOWN:
            return None
        rises, sets = map(self.second_of, found)
        return TimeWindow(rises, sets - 60 * stop.minutes) if sets - 60 * stop.minutes >= rises else None

    def problem(self, roads: tuple[TravelMatrix, TravelMatrix]) -> Problem:
        """The planner's problem, from the travel matrices between `places`: with a trailer, and without one."""
        keys = {stop.key for stop in self.able}
        return Problem(
            roads=roads,
            rigs=tuple(self._rigs()),
            stops=tuple(self._task(stop, keys) for stop in self.able),
            loading=60 * self.yard.loading_minutes,
            least_tie_downs=self.yard.least_tie_downs,
            costs=COSTS,
        )

    @property
    def spread(self) -> Spread:
        """The spread of drives and work around their planned times."""
        travel_profile = self.yard.travel_profile
        works = {stop.key: stop.work for stop in self.stops}
        places = {stop.key: estimate_drive(travel_profile, stop.within_m).seconds for stop in self.rough}
        return Spread(travel_profile.low, travel_profile.high, works, places)

    @property
    def rough(self) -> tuple[PlanningStop, ...]:
        """The stops whose position is so unsure that their times are."""
        return tuple(stop for stop in self.stops if stop.within_m >= ROUGH_METRES)

    def _rigs(self) -> Iterator[RigDay]:
        for day in self.days:
            for facts in self.rigs:
                if facts.out or (facts.key, day) in self.shut:
                    continue
                opens = max(self._at(day, facts.shift_opens), self._at(day, self.yard.opens))
                closes = min(self._at(day, facts.shift_closes), self._at(day, self.yard.closes))
                if self.since is not None:
                    opens = max(opens, self.second_of(self.since))
                if opens >= closes:
                    continue
                yield self._rig(facts, day, TimeWindow(opens, closes))

    def _rig(self, facts: PlanningRig, day: date, shift: TimeWindow) -> RigDay:
        deck = facts.deck
        breaks = tuple(
            Break(self._at(day, rest.opens), self._at(day, rest.closes), 60 * rest.minutes) for rest in facts.breaks
        )
        length, width = deck.exact("length_cm"), deck.exact("width_cm")
        known = length is not None and width is not None
        return RigDay(
            key=rig_key(facts.key, day),
            capacity=capacity_of(facts),
            shift=shift,
            has=_equipment(facts),
            roads=TOWING if facts.trailer is not None else ALONE,
            start=None if facts.home is None else self.place_of(facts.key),
            breaks=tuple(rest for rest in breaks if rest.closes >= shift.opens),
            deck=Deck(_simplify(length or 0), _simplify(width or 0), deck.lanes, GAP_CM) if known else None,
            trailer=trailer_of(facts, self.yard) if known else None,
            straps=facts.straps,
            strap=facts.strap,
        )

    def _task(self, stop: PlanningStop, keys: Collection[str]) -> StopTask:
        load = load_of(stop.size)
        done = stop.key in self.done
        last = self.days[-1]
        optional = stop.priority != "first" and stop.wait_until is not None and stop.wait_until > last
        pinned = stop.pin_rig
        only = None if pinned is None else frozenset(rig_key(pinned, day) for day in self.days)
        return StopTask(
            key=stop.key,
            place=self.place_of(stop.site),
            brings=load if stop.kind == "return" else (),
            takes=load if stop.kind == "pickup" else (),
            windows=(TimeWindow(),) if done else self._windows(stop),
            service=60 * stop.minutes,
            required=not optional,
            prize=PRIZES[stop.priority],
            needs=frozenset(stop.needs),
            only_rigs=only,
            follows=stop.pin_after if stop.pin_after in keys else None,
            piece=stop.size.piece if stop.kind in CARRIED else None,
        )


def _home_of(rig: PlanningRig) -> NamedPosition:
    return NamedPosition(Reason("home_of_rig", {"rig": rig.name}), rig.home)


def capacity_of(facts: PlanningRig) -> Load:
    """The capacity of a rig: kilograms, centimetres of deck over all lanes, machines."""
    deck = facts.deck
    return (_simplify(facts.payload_kg), _simplify(deck.exact("length_cm") or NO_LIMIT) * deck.lanes, deck.slots)


def load_of(size: MachineSize) -> Load:
    """The load of a machine in the same dimensions; 0 where not entered."""
    return (_simplify(size.mass_kg or 0), _simplify(size.length_cm or 0), 1)


def _simplify(measure: Exact) -> Exact:
    """The same value, as int if it is whole, since integer sums are faster."""
    return measure.numerator if measure.denominator == 1 else measure


def rig_key(key: str, day: date) -> str:
    """The key in the problem of a rig on a day."""
    return f"{key}@{day.isoformat()}"


def rig_of(key: str) -> tuple[str, date]:
    """The rig and the day of a key in the problem."""
    rig, _, day = key.partition("@")
    return rig, date.fromisoformat(day)


def _on_day(code: str, day: date) -> Reason:
    return Reason(code, {"weekday": day.weekday(), "month": day.month, "day": day.day})


def _contains(window: TimeWindow, second: int) -> bool:
    return window.opens <= second <= window.closes


def _equipment(facts: PlanningRig) -> frozenset[str]:
    has = {"winch"} if facts.winch else set()
    if facts.ramp_length_cm is not None:
        has.add("ramp")
    if facts.crew > 1:
        has.add("two_people")
    return frozenset(has)


def trailer_of(facts: PlanningRig, yard: PlanningYard) -> Trailer | None:
    """The trailer's figures for the tow check; None while one that the calculation needs is missing."""
    fields = facts.trailer
    if fields is None or None in (fields.empty_kg, fields.tongue_kg, fields.axle_cm, fields.deck_cm):
        return None
    figures = _figures_of(fields)
    return Trailer(
        empty_kg=figures["empty_kg"] or 0,
        tongue_kg=figures["tongue_kg"] or 0,
        axle_cm=figures["axle_cm"] or 0,
        deck_cm=figures["deck_cm"] or 0,
        axles=fields.axles,
        track_cm=figures["track_cm"] or 150,
        gvwr_kg=figures["gvwr_kg"],
        gawr_kg=figures["gawr_kg"],
        tires_kg=figures["tires_kg"],
        coupler_kg=figures["coupler_kg"],
        tongue_low=yard.tongue[0],
        tongue_high=yard.tongue[1],
        truck=_truck_of(facts.truck),
    )


def _truck_of(fields: TruckFields | None) -> Truck | None:
    figures = {} if fields is None else _figures_of(fields)
    ready = figures.pop("ready_kg", None)
    return None if ready is None else Truck(ready_kg=ready, **figures)


def _figures_of(group: MeasuredFields) -> dict[str, float | None]:
    """The weights and lengths of a group by name, as the tow check takes them."""
    found = {name: group.exact(name) for name in type(group).model_fields if name.endswith(("_kg", "_cm"))}
    return {name: None if figure is None else float(figure) for name, figure in found.items()}
