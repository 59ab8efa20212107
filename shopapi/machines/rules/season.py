"""In which months machines of a kind are used, from the shop's own meter readings.

Hours between two readings of a meter are spread evenly over the days between them. Each month's hours a day are drawn
towards those of the whole year by as much as `OF_ITS_OWN` days of it: with few readings all months are alike, with many
they are as read. Drawbar's own; no source. Twin: `pwa/src/domain/machines/season.ts`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
YEAR = 365.25
EPOCH = 2000
# Readings farther apart say nothing about months.
FARTHEST_APART = 92
# So many days of a month weigh as much as all the others together.
OF_ITS_OWN = 180
# Shorter spans say nothing about a machine's use.
SHORTEST_SPAN = 30

Shares = tuple[float, ...]
EVEN: Shares = tuple(days / sum(MONTH_DAYS) for days in MONTH_DAYS)
"""The share of a year's use in each month if all days are alike."""


@dataclass(frozen=True)
class HoursReading:
    """An hour meter as read; a replaced meter has a higher segment."""

    segment: int
    day: date
    hours: float


def by_segment(readings: Iterable[HoursReading]) -> list[list[HoursReading]]:
    """The readings of each meter by day, the first meter first."""
    found: dict[int, list[HoursReading]] = {}
    for reading in sorted(readings, key=lambda one: (one.segment, one.day, one.hours)):
        found.setdefault(reading.segment, []).append(reading)
    return list(found.values())


def month_shares(machines: Iterable[Sequence[HoursReading]]) -> Shares:
    """The share of a year's hours that falls in each month, January first."""
    hours, days = [0.0] * 12, [0] * 12
    for readings in machines:
        for meter in by_segment(readings):
            for before, after in pairwise(meter):
                _spread(before, after, hours, days)
    if sum(hours) <= 0:
        return EVEN
    usual = sum(hours) / sum(days)
    rates = [(hours[m] + OF_ITS_OWN * usual) / (days[m] + OF_ITS_OWN) for m in range(12)]
    weights = [rate * length for rate, length in zip(rates, MONTH_DAYS, strict=True)]
    return tuple(weight / sum(weights) for weight in weights)


def _spread(before: HoursReading, after: HoursReading, hours: list[float], days: list[int]) -> None:
    apart = (after.day - before.day).days
    if not 1 <= apart <= FARTHEST_APART or after.hours < before.hours:
        return
    for n in range(apart):
        month = (before.day + timedelta(days=n)).month - 1
        hours[month] += (after.hours - before.hours) / apart
        days[month] += 1


def season_time(day: date, shares: Shares) -> float:
    """A day on a scale on which use is even: a year is 365.25, each month as long as its share of the year's use."""
    month_start = date(day.year, day.month, 1)
    month_end = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    part = (day - month_start).days / (month_end - month_start).days
    return YEAR * (day.year - EPOCH + sum(shares[: day.month - 1]) + shares[day.month - 1] * part)


def use_rates(machines: Iterable[Sequence[HoursReading]], shares: Shares) -> list[float]:
    """The hours a day of each machine whose meters were read over a month or more, lowest first."""
    found = []
    for readings in machines:
        meters = [meter for meter in by_segment(readings) if meter[-1].hours >= meter[0].hours]
        span = sum(season_time(meter[-1].day, shares) - season_time(meter[0].day, shares) for meter in meters)
        if span >= SHORTEST_SPAN:
            found.append(sum(meter[-1].hours - meter[0].hours for meter in meters) / span)
    return sorted(found)
