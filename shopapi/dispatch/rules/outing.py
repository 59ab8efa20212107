"""From what a shop knows of its rigs and stops to the problem that the planner solves.

One day or several: each rig on each day is a rig of the problem. Its clock counts seconds from the first day's local
midnight as instants, so that a day on which clocks are put forward or back has the hours that it has.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from shopapi.core.errors import Invalid
from shopapi.dispatch.rules.daylight import daylight
from shopapi.dispatch.rules.deck import Deck, Piece
from shopapi.dispatch.rules.load import Trailer, Truck
from shopapi.dispatch.rules.problem import Break, Costs, Load, Problem, Rig, Roads, StopTask, Window
from shopapi.dispatch.rules.records import DeckFields, Need, Priority, Rest, StopKind, TrailerFields, TruckFields
from shopapi.dispatch.rules.travel import Habits, Place, Position, estimated_roads

# A second under way costs as much as this many metres: about a mechanic's hour against a truck's mile.
COSTS = Costs(metre=1, second=20)
# Why a stop is not made on the days that are planned although nothing stands in its way: it has its own.
OTHER_DAYS = ("pinned_elsewhere", "too_early", "other_day")
# What leaving a stop for another day costs, in the same units: the driving and the time that it is worth.
PRIZES: Mapping[Priority, int] = {"usual": 80_000, "soon": 240_000, "first": 1_000_000}
GAP_CM = 15
NO_LIMIT = 10**7


@dataclass(frozen=True)
class YardFacts:
    """Where and when; `minutes` at a stop of each kind that has none of its own; the tongue's range in shares."""

    position: Position | None
    opens: str
    closes: str
    loading_minutes: int
    tongue: tuple[float, float]
    least_tie_downs: int
    habits: Habits


@dataclass(frozen=True)
class RigFacts:
    """A rig with its figures as entered. `out`: it is broken down."""

    key: str
    name: str
    home: Position | None
    crew: int
    payload_kg: int
    deck: DeckFields
    trailer: TrailerFields | None
    truck: TruckFields | None
    winch: bool
    ramp_length_cm: int | None
    straps: int | None
    shift_opens: str
    shift_closes: str
    breaks: tuple[Rest, ...]
    out: bool


@dataclass(frozen=True)
class Size:
    """A machine's own measures; None: nobody has entered them."""

    mass_kg: int | None = None
    length_cm: int | None = None
    width_cm: int | None = None
    wheelbase_cm: int | None = None
    clearance_cm: int | None = None
    tie_points: int | None = None

    @property
    def piece(self) -> Piece | None:
        if self.mass_kg is None or self.length_cm is None:
            return None
        return Piece(self.mass_kg, self.length_cm, self.width_cm or 0)


@dataclass(frozen=True)
class StopFacts:
    """A stop with what its job, machine and site say. `told`: the interval that its owner was told.

    `minutes`: of work there. `waits`: why its machine cannot leave the shop yet, in words; empty when it can.
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
    told: tuple[datetime, datetime] | None
    size: Size
    waits: str = ""


@dataclass(frozen=True)
class Kept:
    """A stop that is left out before any search, and why."""

    stop: str
    code: str
    words: str


@dataclass(frozen=True)
class Outing:
    """The days to plan. `since`: nothing happens before this instant. `shut`: rigs of a day that are not planned."""

    yard: YardFacts
    rigs: tuple[RigFacts, ...]
    stops: tuple[StopFacts, ...]
    days: tuple[date, ...]
    zone: ZoneInfo
    since: datetime | None = None
    shut: Collection[tuple[str, date]] = frozenset()
    done: frozenset[str] = frozenset()
    _places: dict[str, int] = field(default_factory=dict, compare=False)

    @property
    def start(self) -> datetime:
        """The instant from which the problem's clock counts."""
        return datetime.combine(self.days[0], time(), self.zone)

    def second_of(self, instant: datetime) -> int:
        return round((instant - self.start).total_seconds())

    def instant_of(self, second: int) -> datetime:
        # By way of UTC: adding to a local time would skip over the hour that a clock change takes or gives.
        return datetime.fromtimestamp(self.start.timestamp() + second, self.zone)

    def _at(self, day: date, clock: str) -> int:
        return self.second_of(datetime.combine(day, time.fromisoformat(clock), self.zone))

    def _whole(self, day: date) -> Window:
        return Window(self._at(day, "00:00"), self._at(day + timedelta(days=1), "00:00") - 1)

    @cached_property
    def out(self) -> tuple[Kept, ...]:
        """The stops that cannot be planned whatever the roads are."""
        return tuple(kept for stop in self.stops if (kept := self._kept(stop)) is not None)

    @cached_property
    def able(self) -> tuple[StopFacts, ...]:
        """The stops to be planned, those done already with them."""
        gone = {kept.stop for kept in self.out}
        return tuple(stop for stop in self.stops if stop.key not in gone)

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """The yard, then each site and home once."""
        found = [Place("The yard", self.yard.position)]
        for key, place in (
            *((stop.site, Place(stop.place, stop.position)) for stop in self.able),
            *((rig.key, Place(f"home of {rig.name}", rig.home)) for rig in self.rigs if rig.home is not None),
        ):
            if key not in self._places:
                self._places[key] = len(found)
                found.append(place)
        return tuple(found)

    def place_of(self, key: str) -> int:
        """The row of a site or of a rig's home in the road table."""
        assert self.places  # noqa: S101 - filled by reading them
        return self._places[key]

    def _kept(self, stop: StopFacts) -> Kept | None:
        if stop.key in self.done:
            return None
        if stop.waits:
            return Kept(stop.key, "job_not_ready", stop.waits)
        broken = next((rig for rig in self.rigs if rig.out and rig.key == stop.pin_rig), None)
        if broken is not None:
            return Kept(stop.key, "rig_out", f"It is pinned to {broken.name}, which is broken down.")
        try:
            estimated_roads(self.yard.habits, (Place("The yard", self.yard.position), Place(stop.place, stop.position)))
        except Invalid as refused:
            if self.yard.position is None:
                raise
            return Kept(stop.key, refused.fields[0].code, refused.words)
        if not self._windows(stop):
            return Kept(stop.key, *self._why_not_now(stop))
        return None

    def _why_not_now(self, stop: StopFacts) -> tuple[str, str]:
        """Why no time of a stop lies on these days: its code and words. Those of `OTHER_DAYS` are nobody's failure."""
        if stop.pin_at is not None:
            return "pinned_elsewhere", f"It is pinned to {_named(stop.pin_at.astimezone(self.zone).date())}."
        if stop.earliest_on is not None and stop.earliest_on > self.days[-1]:
            return "too_early", f"It may not be made before {_named(stop.earliest_on)}."
        own = sorted(opens.astimezone(self.zone).date() for opens, _ in stop.windows)
        later = next((day for day in own if day > self.days[-1]), None)
        if later is not None:
            return "other_day", f"Its next times are on {_named(later)}."
        if own and max(closes for _, closes in stop.windows).astimezone(self.zone).date() < self.days[0]:
            return "times_over", f"Its times are over; the last was on {_named(own[-1])}. Ask for another."
        if stop.by_daylight:
            return "daylight", "On these days no daylight is left for it in its times."
        return "no_window", "None of its times lies on a day that is planned here."

    def _windows(self, stop: StopFacts) -> tuple[Window, ...]:
        """When work there may begin: its own windows on the planned days, cut by dates, daylight, pin and promise."""
        if stop.pin_at is not None:
            pinned = self.second_of(stop.pin_at)
            return (Window(pinned, pinned),) if any(_meets(self._whole(day), pinned) for day in self.days) else ()
        if stop.told is not None and any(_meets(self._whole(day), self.second_of(stop.told[0])) for day in self.days):
            return (Window(*map(self.second_of, stop.told)),)
        return tuple(window for day in self.days if self._may_be(stop, day) for window in self._on(stop, day))

    def _may_be(self, stop: StopFacts, day: date) -> bool:
        # A promise that is broken already binds to no day; it only makes the stop urgent.
        late = stop.promised_on is not None and stop.promised_on >= self.days[0] and day > stop.promised_on
        return not late and (stop.earliest_on is None or day >= stop.earliest_on)

    def _on(self, stop: StopFacts, day: date) -> Iterator[Window]:
        whole = self._whole(day)
        light = self._light(stop, day) if stop.by_daylight else whole
        if light is None:
            return
        own = [Window(self.second_of(opens), self.second_of(closes)) for opens, closes in stop.windows]
        for window in own or [whole]:
            opens = max(window.opens, whole.opens, light.opens)
            closes = min(window.closes, whole.closes, light.closes)
            if opens <= closes:
                yield Window(opens, closes)

    def _light(self, stop: StopFacts, day: date) -> Window | None:
        assert stop.position is not None  # noqa: S101 - those without were taken out
        found = daylight(day, stop.position.latitude, stop.position.longitude)
        if found is None:
            return None
        rises, sets = map(self.second_of, found)
        return Window(rises, sets - 60 * stop.minutes) if sets - 60 * stop.minutes >= rises else None

    def problem(self, roads: Roads) -> Problem:
        """What the planner solves, once the roads between `places` are known."""
        keys = {stop.key for stop in self.able}
        return Problem(
            roads=(roads,),
            rigs=tuple(self._rigs()),
            stops=tuple(self._task(stop, keys) for stop in self.able),
            loading=60 * self.yard.loading_minutes,
            costs=COSTS,
        )

    def _rigs(self) -> Iterator[Rig]:
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
                yield self._rig(facts, day, Window(opens, closes))

    def _rig(self, facts: RigFacts, day: date, shift: Window) -> Rig:
        deck = facts.deck
        breaks = tuple(
            Break(self._at(day, rest.opens), self._at(day, rest.closes), 60 * rest.minutes) for rest in facts.breaks
        )
        known = deck.length_cm is not None and deck.width_cm is not None
        return Rig(
            key=rig_key(facts.key, day),
            capacity=capacity_of(facts),
            shift=shift,
            has=_equipment(facts),
            start=None if facts.home is None else self.place_of(facts.key),
            breaks=tuple(rest for rest in breaks if rest.closes >= shift.opens),
            deck=Deck(deck.length_cm or 0, deck.width_cm or 0, deck.lanes, GAP_CM) if known else None,
            trailer=trailer_of(facts, self.yard) if known else None,
            straps=facts.straps,
        )

    def _task(self, stop: StopFacts, keys: Collection[str]) -> StopTask:
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
            windows=(Window(),) if done else self._windows(stop),
            service=60 * stop.minutes,
            required=not optional,
            prize=PRIZES[stop.priority],
            needs=frozenset(stop.needs),
            only_rigs=only,
            follows=stop.pin_after if stop.pin_after in keys else None,
            piece=None if stop.kind == "visit" else stop.size.piece,
        )


def capacity_of(facts: RigFacts) -> Load:
    """What a rig may carry: kilograms, centimetres of deck over all lanes, machines."""
    deck = facts.deck
    return (facts.payload_kg, (deck.length_cm or NO_LIMIT) * deck.lanes, deck.slots)


def load_of(size: Size) -> Load:
    """What a machine takes of each; nothing where it was not entered."""
    return (size.mass_kg or 0, size.length_cm or 0, 1)


def rig_key(key: str, day: date) -> str:
    """The name of a rig on a day in the problem."""
    return f"{key}@{day.isoformat()}"


def rig_of(key: str) -> tuple[str, date]:
    """The rig and the day of a name in the problem."""
    rig, _, day = key.partition("@")
    return rig, date.fromisoformat(day)


def _named(day: date) -> str:
    return f"{day:%A}, {day:%B} {day.day}"


def _meets(window: Window, second: int) -> bool:
    return window.opens <= second <= window.closes


def _equipment(facts: RigFacts) -> frozenset[str]:
    has = {"winch"} if facts.winch else set()
    if facts.ramp_length_cm is not None:
        has.add("ramp")
    if facts.crew > 1:
        has.add("two_people")
    return frozenset(has)


def trailer_of(facts: RigFacts, yard: YardFacts) -> Trailer | None:
    """The trailer's figures for the tow check; None while one without which nothing can be reckoned is missing."""
    told = facts.trailer
    if told is None or None in (told.empty_kg, told.tongue_kg, told.axle_cm, told.deck_cm):
        return None
    return Trailer(
        empty_kg=told.empty_kg or 0,
        tongue_kg=told.tongue_kg or 0,
        axle_cm=told.axle_cm or 0,
        deck_cm=told.deck_cm or 0,
        axles=told.axles,
        track_cm=told.track_cm or 150,
        gvwr_kg=told.gvwr_kg,
        gawr_kg=told.gawr_kg,
        tires_kg=told.tires_kg,
        coupler_kg=told.coupler_kg,
        tongue_low=yard.tongue[0],
        tongue_high=yard.tongue[1],
        truck=_truck_of(facts.truck),
    )


def _truck_of(told: TruckFields | None) -> Truck | None:
    if told is None or told.ready_kg is None:
        return None
    return Truck(**told.model_dump())
