"""Quoted against clocked: which clocked time belongs to which line of labor, and what a job comes to.

Twin: `pwa/src/domain/quotes/progress.ts`. Seconds throughout.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from shopapi.labor.rules.history import name_key


@dataclass(frozen=True)
class QuotedLabor:
    """A line of labor that was not declined. `seconds` None: a set price that names no hours."""

    id: UUID
    words: str
    operation: str
    seconds: int | None
    accepted: bool


@dataclass(frozen=True)
class ClockedWork:
    """Time on the job's machine, rework too, by the line and the work it was clocked for."""

    line_id: UUID | None
    operation: str
    seconds: int


@dataclass(frozen=True)
class LineProgress:
    line: QuotedLabor
    clocked_seconds: int


@dataclass(frozen=True)
class JobProgress:
    """`elsewhere_seconds` were clocked for no line that stands."""

    lines: Sequence[LineProgress]
    elsewhere_seconds: int

    @property
    def quoted_seconds(self) -> int:
        return sum(each.line.seconds or 0 for each in self.lines)

    @property
    def billed_seconds(self) -> int:
        """Hours that the customer said yes to: what can be billed by the hour."""
        return sum(each.line.seconds or 0 for each in self.lines if each.line.accepted)

    @property
    def clocked_seconds(self) -> int:
        return self.elsewhere_seconds + sum(each.clocked_seconds for each in self.lines)


def finder(lines: Sequence[QuotedLabor]) -> Callable[[UUID | None, str], UUID | None]:
    """How time finds its line: by the line it was clocked for, else by the name of the work; None finds none.

    The line of an earlier revision stands no more; its time finds the line of the same work. Of several lines of one
    work the first accepted one takes it, else the first.
    """
    known = {line.id for line in lines}
    takes: dict[str, UUID] = {}
    for line in sorted(lines, key=lambda line: not line.accepted):
        if line.operation:
            takes.setdefault(name_key(line.operation), line.id)
    return lambda line_id, operation: line_id if line_id in known else takes.get(name_key(operation))


def progress_of(lines: Sequence[QuotedLabor], clocked: Iterable[ClockedWork]) -> JobProgress:
    """Put a job's time beside its lines, as `finder` finds them."""
    line_of = finder(lines)
    sums = {line.id: 0 for line in lines}
    elsewhere = 0
    for work in clocked:
        line_id = line_of(work.line_id, work.operation)
        if line_id is None:
            elsewhere += work.seconds
        else:
            sums[line_id] += work.seconds
    return JobProgress([LineProgress(line, sums[line.id]) for line in lines], elsewhere)
