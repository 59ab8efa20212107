"""Reports on clocked time. Members see their own time; those who may correct time see everybody's."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from pydantic import Field

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.errors import BadParameter, FieldError
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.labor.queries import hours, reports
from shopapi.labor.rules.csv_table import Cell, sheet
from shopapi.labor.rules.csv_table import hours as in_hours
from shopapi.labor.rules.entry import EntryKind
from shopapi.labor.rules.schemas import HeldReport, HoursReport, OvertimePay, RoundingReport

Rate = Annotated[int, Field(ge=0, le=10**9)]


class HoursQuery(Parameters):
    """A day (today by default) or the shop's week that contains it; one member or all."""

    span: Literal["day", "week"] = Field("week", description="A day, or the week of the shop that contains it.")
    day: date | None = None
    member_id: UUID | None = None


class RoundingQuery(hours.PeriodAsked):
    """From one day to another, both included, the current week by default; one member or all."""

    member_id: UUID | None = None


class OvertimeQuery(Parameters):
    """A member's week at an hourly rate; `rates` gives other rates by kind of time ("travel:1500,shop:1200")."""

    member_id: UUID
    day: date | None = None
    rate_minor: Rate
    rates: Annotated[str, Field(max_length=200)] = ""
    bonus_minor: Rate = 0

    def by_kind(self) -> dict[str, int]:
        """The hourly rates by kind of time, in minor units. Raises BadParameter."""
        found = {}
        for part in filter(None, self.rates.split(",")):
            kind, _, minor = part.partition(":")
            if (
                kind not in set(EntryKind)
                or kind in found
                or not (minor.isascii() and minor.isdigit())
                or len(minor) > 9
            ):
                raise BadParameter("invalid", fields=[FieldError("rates", "bad_rates")])
            found[kind] = int(minor)
        return found


def _hours(actor: Actor, asked: HoursQuery) -> HoursReport:
    period = hours.week_with(actor, asked.day) if asked.span == "week" else hours.day_of(actor, asked.day)
    return reports.hours_report(actor, period, asked.member_id)


def _hours_table(report: HoursReport) -> tuple[bytes, str]:
    rows: list[tuple[Cell, ...]] = [
        (day.on.isoformat(), day.name, part.kind, in_hours(part.seconds), part.seconds, "counts")
        for day in report.days
        for part in day.kinds
    ]
    # Listed below the sums but not part of them, so their hours stay empty.
    zone = ZoneInfo(report.zone)
    rows += [
        (one.started_at.astimezone(zone).date().isoformat(), one.name, one.kind, "", "", one.state)
        for one in report.apart
    ]
    columns = ("day", "member", "kind", "hours", "seconds", "state")
    return sheet(columns, rows), f"hours-{report.first}-{report.last}.csv"


def _rounding(actor: Actor, asked: RoundingQuery) -> RoundingReport:
    return reports.rounding_report(actor, hours.period(actor, asked.first, asked.last), asked.member_id)


def _overtime(actor: Actor, asked: OvertimeQuery) -> OvertimePay:
    return reports.overtime_pay(
        actor,
        hours.week_with(actor, asked.day),
        asked.member_id,
        rate_minor=asked.rate_minor,
        rates=asked.by_kind(),
        bonus_minor=asked.bonus_minor,
    )


def _held(actor: Actor, _asked: Parameters) -> HeldReport:
    return reports.held_report(actor)


REPORTS = (
    Report(
        "hours",
        "hours_report",
        "Hours by day, member and kind, with what runs or is in dispute beside them",
        HoursReport,
        Permission.READ,
        _hours,
        asked=HoursQuery,
        table=_hours_table,
    ),
    Report(
        "rounding",
        "rounding_report",
        "What rounding to 5, 6 or 15 minutes would take from or give to each member",
        RoundingReport,
        Permission.READ,
        _rounding,
        asked=RoundingQuery,
    ),
    Report(
        "overtime",
        "overtime_pay",
        "What a member's week comes to with overtime, at rates that are not kept",
        OvertimePay,
        Permission.READ,
        _overtime,
        asked=OvertimeQuery,
    ),
    Report(
        "held",
        "held_report",
        "How often the hours estimated before a job held what it then took",
        HeldReport,
        Permission.READ,
        _held,
    ),
)
