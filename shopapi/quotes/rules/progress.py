"""Quoted against clocked hours: the labor line of each clocked time, and the sums of a job.

Twin: `pwa/src/domain/quotes/progress.ts`. Seconds throughout.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from shopapi.labor.rules.history import name_key


@dataclass(frozen=True)
class QuotedLabor:
    """A line of labor that was not declined. `seconds` None: a set price without hours."""

    id: UUID
    words: str
    operation: str
    seconds: int | None
    accepted: bool


@dataclass(frozen=True)
class ClockedWork:
    """Time on the job, including rework, with the line and the operation it was clocked for."""

    line_id: UUID | None
    operation: str
    seconds: int


@dataclass(frozen=True)
class LineProgress:
    line: QuotedLabor
    clocked_seconds: int


@dataclass(frozen=True)
class JobProgress:
    """`elsewhere_seconds` were clocked for no current line."""

    lines: Sequence[LineProgress]
    elsewhere_seconds: int

    @property
    def quoted_seconds(self) -> int:
        return sum(each.line.seconds or 0 for each in self.lines)

    @property
    def billed_seconds(self) -> int:
        """Seconds of the accepted lines, which can be billed by the hour."""
        return sum(each.line.seconds or 0 for each in self.lines if each.line.accepted)

    @property
    def clocked_seconds(self) -> int:
        return self.elsewhere_seconds + sum(each.clocked_seconds for each in self.lines)


Successors = Mapping[UUID, UUID]
"""By id of a line of a replaced quote: the line of the quote that replaced it (`changes.successors_of`)."""

_NONE: Successors = {}


def finder(lines: Sequence[QuotedLabor], successors: Successors = _NONE) -> Callable[[UUID | None, str], UUID | None]:
    """A function that matches time to a line: the one it was clocked for or that replaced it, else by operation.

    None: no match. Of several lines with one operation the first accepted one is taken, else the first.
    """
    known = {line.id for line in lines}
    takes: dict[str, UUID] = {}
    for line in sorted(lines, key=lambda line: not line.accepted):
        if line.operation:
            takes.setdefault(name_key(line.operation), line.id)

    def find(line_id: UUID | None, operation: str) -> UUID | None:
        if line_id is not None and line_id not in known:
            line_id = successors.get(line_id)
        return line_id if line_id in known else takes.get(name_key(operation))

    return find


def progress_of(
    lines: Sequence[QuotedLabor], clocked: Iterable[ClockedWork], successors: Successors = _NONE
) -> JobProgress:
    """Sum a job's time by line, as matched by `finder`."""
    line_of = finder(lines, successors)
    sums = {line.id: 0 for line in lines}
    elsewhere = 0
    for work in clocked:
        line_id = line_of(work.line_id, work.operation)
        if line_id is None:
            elsewhere += work.seconds
        else:
            sums[line_id] += work.seconds
    return JobProgress([LineProgress(line, sums[line.id]) for line in lines], elsewhere)
