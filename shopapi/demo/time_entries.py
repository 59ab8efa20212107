"""Clocked time of the demo shop: who clocked what when, derived from its jobs and quotes.

Pseudo-random by names, so the same each time. Nobody works at two things at once, at night or on a Sunday.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from shopapi.demo.scenario import JobFixture, LineFixture, MemberKey, Scenario
from shopapi.jobs.rules import Stage
from shopapi.labor.rules.entry import EntryKind, ReworkCause

OPENS, CLOSES = time(8), time(17, 30)
SUNDAY = 6
# The operation of a line by a word in it; the first match counts.
OPERATIONS = (
    ("arburettor", "carburetor clean"),
    ("fuel system", "carburetor clean"),
    ("belt", "belt"),
    ("spindle", "deck spindle"),
    ("blade", "blades"),
    ("service", "yearly service"),
    ("Oil and filter", "oil change"),
    ("brake", "brake adjust"),
    ("tires", "tires"),
    ("Weld", "deck weld"),
    ("valve lash", "valve lash"),
    ("knives", "chipper knives"),
    ("seal", "reseal"),
    ("wiring", "wiring"),
    ("harness", "wiring"),
    ("ground", "wiring"),
)
WORKED_ON = {Stage.REPAIR, Stage.TESTING, Stage.READY, Stage.RETURNED, Stage.CLOSED}


@dataclass(frozen=True)
class PlannedWork:
    """Work that has no time yet. `line` counts the quote and its line; `wish` is the earliest start."""

    who: MemberKey
    kind: EntryKind
    wish: datetime
    minutes: int
    job: JobFixture | None = None
    operation: str = ""
    line: tuple[int, int] | None = None
    cause: ReworkCause | None = None


@dataclass(frozen=True)
class ClockedPeriod:
    """Work, or the part of it on one day, in the shop's local time."""

    work: PlannedWork
    started_at: datetime
    ended_at: datetime


def clock_work(story: Scenario) -> list[ClockedPeriod]:
    """All time clocked up to the evening of the last day, in order of time for each member."""
    ends = datetime.combine(story.newest, CLOSES)
    free: dict[MemberKey, datetime] = {}
    found = []
    for work in sorted(_all_work(story), key=lambda one: (one.wish, one.who, one.minutes)):
        for part in _placed(work, max(work.wish, free.get(work.who, work.wish))):
            free[work.who] = part.ended_at
            if part.ended_at <= ends:
                found.append(part)
    return found


def _placed(work: PlannedWork, at: datetime) -> Iterator[ClockedPeriod]:
    left = timedelta(minutes=work.minutes)
    while left:
        at = _open(at)
        ended_at = min(at + left, datetime.combine(at.date(), CLOSES))
        yield ClockedPeriod(work, at, ended_at)
        left -= ended_at - at
        at = ended_at


def _open(at: datetime) -> datetime:
    """The given time if the shop is open then, else the next morning."""
    if at.time() >= CLOSES:
        at = datetime.combine(at.date() + timedelta(days=1), OPENS)
    if at.weekday() == SUNDAY:
        at = datetime.combine(at.date() + timedelta(days=1), OPENS)
    return max(at, datetime.combine(at.date(), OPENS))


def _all_work(story: Scenario) -> Iterator[PlannedWork]:
    for job in story.jobs:
        yield from _of_job(job)
    day = story.jobs[0].opened_at.date()
    while day <= story.newest:
        if day.weekday() == 1:
            yield PlannedWork(
                "mechanic", EntryKind.ERRAND, datetime.combine(day, time(11)), 25 + _draw("errand", str(day), 30)
            )
        if day.weekday() == 4:
            yield PlannedWork(
                "mechanic", EntryKind.SHOP, datetime.combine(day, time(16, 15)), 40 + _draw("shop", str(day), 30)
            )
        day += timedelta(days=1)


def _of_job(job: JobFixture) -> Iterator[PlannedWork]:
    if job.quotes:
        minutes = 15 + _draw("look", job.mark, 40)
        looked = job.moment(job.quotes[0].at) - timedelta(minutes=minutes)
        if any(line.kind == "travel" for line in job.quotes[0].lines):
            yield PlannedWork(
                job.by, EntryKind.TRAVEL, looked - timedelta(minutes=30), 20 + _draw("way", job.mark, 15), job
            )
        yield PlannedWork(job.by, EntryKind.DIAGNOSIS, looked, minutes, job)
    if job.stage not in WORKED_ON:
        return
    for count, quote in enumerate(job.quotes):
        if quote.decision is None:
            continue
        taken = quote.decision.accepted
        lines = [
            (at, line)
            for at, line in enumerate(quote.lines)
            if line.kind == "labor" and line.hours and (taken == "all" or at in taken)
        ]
        if job.stage is Stage.REPAIR:
            lines = lines[:1]
        for at, line in lines:
            yield from _of_line(job, (count, at), line, job.moment(quote.decision) + timedelta(hours=2))


def _of_line(job: JobFixture, at: tuple[int, int], line: LineFixture, wish: datetime) -> Iterator[PlannedWork]:
    """Hours of a line: mostly near those quoted, sometimes far above; one line in sixteen is redone."""
    key = f"{job.mark}/{at}"
    percent = 75 + _draw("pace", key, 50) + (_draw("snag", key, 60) if _draw("luck", key, 6) == 0 else 0)
    operation = operation_of(line.words)
    minutes = max(5, round(float(line.hours or 0) * 60 * percent / 100))
    yield PlannedWork(job.by, EntryKind.REPAIR, wish, minutes, job, operation, at)
    if _draw("again", key, 16) == 0:
        cause = list(ReworkCause)[_draw("cause", key, len(ReworkCause))]
        yield PlannedWork(
            job.by, EntryKind.REWORK, wish + timedelta(days=1), max(10, minutes // 3), job, operation, at, cause
        )


def operation_of(words: str) -> str:
    """The operation of a line's work; empty where none matches."""
    return next((name for word, name in OPERATIONS if word in words), "")


def _draw(what: str, key: str, below: int) -> int:
    """A whole number from 0, always the same for the same words."""
    return int.from_bytes(hashlib.sha256(f"{what}/{key}".encode()).digest()[:4], "big") % below
