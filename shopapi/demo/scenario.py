"""The scenario of the demo shop (`fixtures/demo/*.json`): schemas and consistency checks.

Times are in the shop's time zone, in days and minutes; `Story.newest` is the last day.
"""

import json
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from shopapi.core.schema import Schema, Secret, parse
from shopapi.jobs.rules import AcknowledgedHow, FindingRank, Stage
from shopapi.quotes.rules.lines import LineKind
from shopapi.quotes.rules.price_book import Key
from shopapi.quotes.rules.schemas import How, QuoteKind
from shopapi.quotes.rules.states import QuoteState

Minutes = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Moment = Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\d ([01]\d|2[0-3]):[0-5]\d$")]
MemberKey = Literal["owner", "office", "mechanic"]


class MemberFixture(Schema):
    """One member of the shop."""

    key: MemberKey
    name: str
    email: str
    role: MemberKey


class Opening(Schema):
    """The shop, its members and its price book. `anchor` is the day after the scenario's last one."""

    anchor: date
    shop: dict[str, str]
    members: tuple[MemberFixture, ...]
    password: Secret
    book: dict[str, Any]


class SiteFixture(Schema):
    """A site of a customer."""

    key: Key
    label: str
    address: str = ""
    lat: str | None = None
    lon: str | None = None
    access_notes: str = ""


class ReadingFixture(Schema):
    on: date
    hours: str
    new_segment: bool = False


class MachineFixture(Schema):
    """A machine with readings of its hour meter."""

    key: Key
    kind: str
    make: str
    model: str
    serial: str = ""
    year: int | None = None
    engine_make: str = ""
    engine_model: str = ""
    engine_serial: str = ""
    tag: str = ""
    notes: str = ""
    archived: bool = False
    readings: tuple[ReadingFixture, ...]


class Person(Schema):
    """A customer with sites and machines."""

    key: Key
    name: str
    person: str = ""
    phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""
    tax_exempt: bool = False
    exempt_reason: str = ""
    archived: bool = False
    sites: tuple[SiteFixture, ...]
    machines: tuple[MachineFixture, ...]


class ComplaintFixture(Schema):
    words: str
    happens_when: str = ""


class RelativeTime(Schema):
    """`day` counts from the day the job was opened."""

    day: Annotated[int, Field(ge=0)]
    time: Minutes


class AcknowledgementFixture(RelativeTime):
    """What a customer said who was told of a safety finding and wants it left."""

    name: str
    how: AcknowledgedHow
    protection_lost: str
    note: str = ""


class FindingFixture(Schema):
    rank: FindingRank
    words: str
    consequence: str = ""
    acknowledged: AcknowledgementFixture | None = None


class LineFixture(Schema):
    """A line of a quote. `finding` counts the job's findings from 0; a line without one has a rank of its own."""

    kind: LineKind
    words: str
    finding: int | None = None
    rank: FindingRank | None = None
    included: str = ""
    work: str | None = None
    hours: str | None = None
    rate_key: str | None = None
    member: MemberKey | None = None
    quantity: str | None = None
    unit_cost_minor: int | None = None
    unit_price_minor: int | None = None
    core_minor: int | None = None
    distance: str | None = None
    fixed_minor: int | None = None
    discount_percent: str | None = None
    discount_minor: int | None = None


class DecisionFixture(RelativeTime):
    """The customer's decision; `accepted` counts the quote's lines from 0."""

    how: How
    name: str
    accepted: Literal["all"] | tuple[int, ...]
    note: str = ""


class QuoteFixture(Schema):
    """A quote and its outcome. `replaces` counts the job's quotes from 0."""

    kind: QuoteKind
    state: QuoteState
    lines: tuple[LineFixture, ...]
    drafted: RelativeTime | None = None
    offered: RelativeTime | None = None
    replaces: int | None = None
    note: str = ""
    discount: dict[str, Any] = {}
    valid_days: int | None = None
    decision: DecisionFixture | None = None

    @property
    def at(self) -> RelativeTime:
        """When it was offered; when it was drafted if it never was."""
        when = self.offered or self.drafted
        if when is None:
            raise ValueError("a quote is drafted or offered at some time")
        return when


class JobFixture(Schema):
    """A job. `promised_day` counts from the day it was opened. `comeback_of`: the mark of the job it does again."""

    machine: Key
    opened: Moment
    stage: Stage
    by: MemberKey
    taken_by: MemberKey
    mark: str
    site: Key | None = None
    promised_day: int | None = None
    comeback_of: str | None = None
    notes: str = ""
    complaints: tuple[ComplaintFixture, ...]
    findings: tuple[FindingFixture, ...]
    quotes: tuple[QuoteFixture, ...]

    @property
    def opened_at(self) -> datetime:
        """Local time of the shop, naive."""
        return datetime.fromisoformat(self.opened)

    def moment(self, when: RelativeTime) -> datetime:
        """Local time, naive, of an event of this job."""
        day = self.opened_at.date() + timedelta(days=when.day)
        return datetime.combine(day, time.fromisoformat(when.time))


class Scenario(Schema):
    opening: Opening
    people: tuple[Person, ...]
    jobs: tuple[JobFixture, ...]

    @property
    def newest(self) -> date:
        """The last day with an event."""
        return max(moment.date() for job in self.jobs for moment in moments(job))


def moments(job: JobFixture) -> Iterator[datetime]:
    """Every time that a job names."""
    yield job.opened_at
    for quote in job.quotes:
        yield job.moment(quote.at)
        if quote.decision is not None:
            yield job.moment(quote.decision)
    for finding in job.findings:
        if finding.acknowledged is not None:
            yield job.moment(finding.acknowledged)


def read_scenario(folder: Path) -> Scenario:
    """Read the scenario from a folder of three files. Raises Invalid naming the wrong field."""
    files = {name: json.loads((folder / f"{name}.json").read_text("utf-8")) for name in ("shop", "customers", "jobs")}
    return parse(Scenario, {"opening": files["shop"], "people": files["customers"], "jobs": files["jobs"]})
