"""When a machine's next service is due: at its hours or its months, whichever comes first.

Hours are forecast from the machine's own meter readings, by a line over the season's time (`season`, `regression`),
each meter with an intercept of its own: due on the first day on which it is as likely as not, with the days between
which it is due with 8 chances of 10. With two readings there is a line and no interval; with one, the rates of other
machines of its kind are used; with none, or without such machines, only the months count.
Twin: `pwa/src/domain/machines/nextService.ts`; both run `fixtures/machines/next_service.json`.
"""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from typing_extensions import TypeAliasType

from shopapi.machines.rules.regression import FittedLine, fit_line, t_below, t_quantile
from shopapi.machines.rules.season import HoursReading, Shares, by_segment, season_time

Basis = TypeAliasType("Basis", Literal["readings", "two_readings", "other_machines", "months", "meter_falls"])
"""What a forecast is from. months: the calendar alone. meter_falls: a meter's readings go down, hours do not count."""
DueBy = TypeAliasType("DueBy", Literal["hours", "months"])

LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
# With fewer other machines of the kind their rates say nothing.
ENOUGH_MACHINES = 3
# Farther ahead nothing is forecast.
FARTHEST_DAYS = 3650
DAY = timedelta(days=1)
ROUNDING = 1e-9


@dataclass(frozen=True)
class Interval:
    """How often a service is due: after so many hours of work, months, or both."""

    hours: float | None
    months: int | None


@dataclass(frozen=True)
class NextService:
    """`due_on`: None if not known. `earliest`, `latest`: of the hours. `used`: hours since the last service.

    `chance`: that it is due by the day asked for; None if hours count and nothing is known of them.
    """

    basis: Basis
    due_on: date | None
    by: DueBy | None
    earliest: date | None = None
    latest: date | None = None
    used: float | None = None
    chance: float | None = None


@dataclass(frozen=True)
class Use:
    """A machine's hours over time on the scale of its last meter. `line` or the `rates` of others say how fast."""

    basis: Basis
    shares: Shares
    points: tuple[tuple[date, float], ...]
    line: FittedLine | None
    rates: tuple[float, ...]

    @property
    def rate(self) -> float:
        if self.line is not None:
            return self.line.slope
        return self.rates[len(self.rates) // 2] if self.rates else 0.0

    def time(self, day: date) -> float:
        return season_time(day, self.shares)

    def hours_on(self, day: date) -> float:
        """As read on that day, between two readings in proportion, outside them at the machine's rate."""
        before = [point for point in self.points if point[0] <= day]
        after = [point for point in self.points if point[0] >= day]
        if before and after:
            (first, low), (last, high) = before[-1], after[0]
            span = self.time(last) - self.time(first)
            return low if span <= 0 else low + (high - low) * (self.time(day) - self.time(first)) / span
        near, hours = before[-1] if before else after[0]
        return hours + self.rate * (self.time(day) - self.time(near))

    def chance(self, due: float, day: date) -> float:
        """The chance that the meter shows `due` hours by a day."""
        last, hours = self.points[-1]
        if hours >= due - ROUNDING:
            return 1.0
        if day <= last:
            return 0.0
        if self.line is None:
            ahead = self.time(day) - self.time(last)
            reached = sum(hours + rate * ahead >= due - ROUNDING for rate in self.rates)
            return reached / len(self.rates) if self.rates else 0.0
        x = self.time(day)
        deviation = self.line.deviation(x)
        if not deviation:
            return 1.0 if self.line.at(x) >= due - ROUNDING else 0.0
        return t_below((self.line.at(x) - due) / deviation, self.line.freedom)

    def first_day(self, due: float, chance: float) -> date | None:
        """The first day with at least this chance; None if none is in sight."""
        last, hours = self.points[-1]
        if hours >= due - ROUNDING:
            return self._day_reached(due)
        line = self.line
        if line is None or not line.spread:
            days = range(1, FARTHEST_DAYS + 1) if self.rate > 0 or self.rates else range(0)
            return next((last + n * DAY for n in days if self.chance(due, last + n * DAY) >= chance - ROUNDING), None)
        bound = t_quantile(chance, line.freedom)
        for n in range(1, FARTHEST_DAYS + 1):
            x = self.time(last + n * DAY)
            if line.at(x) - due >= bound * (line.deviation(x) or 0) - ROUNDING:
                return last + n * DAY
        return None

    def _day_reached(self, due: float) -> date:
        """The day on which the meter came to `due` hours, which one of its readings has reached."""
        place = next(n for n, (_, shown) in enumerate(self.points) if shown >= due - ROUNDING)
        day = self.points[max(0, place - 1)][0]
        while self.hours_on(day) < due - ROUNDING:
            day += DAY
        return day


def use_of(readings: Sequence[HoursReading], shares: Shares, rates: Sequence[float]) -> Use | None:
    """What the readings say; None without any. `rates`: of other machines of the kind, lowest first."""
    meters = by_segment(readings)
    if not meters:
        return None
    if any(after.hours < before.hours for meter in meters for before, after in pairwise(meter)):
        return Use("meter_falls", shares, (), None, ())
    line = fit_line([[(season_time(one.day, shares), one.hours) for one in meter] for meter in meters])
    others = tuple(rates) if line is None and len(rates) >= ENOUGH_MACHINES else ()
    basis: Basis = "months" if not others else "other_machines"
    if line is not None:
        basis = "readings" if line.spread is not None else "two_readings"
    rate = line.slope if line is not None else others[len(others) // 2] if others else 0.0
    return Use(basis, shares, _on_one_scale(meters, shares, rate), line, others)


def _on_one_scale(meters: list[list[HoursReading]], shares: Shares, rate: float) -> tuple[tuple[date, float], ...]:
    """The readings as the last meter would have shown them; between two meters the machine was used at its rate."""
    offset, points = 0.0, [(one.day, one.hours) for one in meters[-1]]
    for place in range(len(meters) - 2, -1, -1):
        last, following = meters[place][-1], meters[place + 1][0]
        between = rate * (season_time(following.day, shares) - season_time(last.day, shares))
        offset += following.hours - last.hours - between
        points = [(one.day, one.hours + offset) for one in meters[place]] + points
    return tuple(points)


def next_service(interval: Interval, done_on: date, use: Use | None, by_day: date) -> NextService:
    """When a service is due that was last done on a day, and the chance that it is by `by_day`."""
    months_due = None if interval.months is None else add_months(done_on, interval.months)
    basis: Basis = use.basis if use else "months"
    known = None if use is None or interval.hours is None or basis in ("months", "meter_falls") else use
    hours_due = earliest = latest = used = None
    chance = None if known is None and interval.months is None else 0.0
    if known is not None and interval.hours is not None:
        start = known.hours_on(done_on)
        due = start + interval.hours
        used = max(0.0, known.points[-1][1] - start)
        hours_due = known.first_day(due, MIDDLE)
        if known.basis != "two_readings":
            earliest, latest = known.first_day(due, LOW), known.first_day(due, HIGH)
        chance = known.chance(due, by_day)
    if months_due is not None and months_due <= by_day:
        chance = 1.0
    by: DueBy | None = None
    if hours_due is not None and (months_due is None or hours_due <= months_due):
        by = "hours"
    elif months_due is not None:
        by = "months"
    due_on = hours_due if by == "hours" else months_due
    shown: Basis = basis if known is not None or basis == "meter_falls" else "months"
    return NextService(shown, due_on, by, earliest, latest, used, chance)


def add_months(day: date, months: int) -> date:
    """The same day so many months later, or the month's last.

    >>> add_months(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def season_start(today: date, month: int, day: int) -> date:
    """The next day after today on which the season starts.

    >>> season_start(date(2026, 11, 30), 4, 1), season_start(date(2026, 4, 1), 4, 1)
    (datetime.date(2027, 4, 1), datetime.date(2027, 4, 1))
    """
    this_year = date(today.year, month, min(day, monthrange(today.year, month)[1]))
    if this_year > today:
        return this_year
    return date(today.year + 1, month, min(day, monthrange(today.year + 1, month)[1]))
