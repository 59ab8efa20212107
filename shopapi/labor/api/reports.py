"""Reports on clocked time. Members see their own; whoever may correct time sees everybody's."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.http import PROBLEMS, Parameters, ShopView, parameters_of, table_file
from shopapi.core.shape import plain
from shopapi.labor.queries import hours, reports
from shopapi.labor.rules.entry import Kind
from shopapi.labor.rules.records import HeldReport, HoursReport, OvertimePay, RoundingReport
from shopapi.labor.rules.sheet import hours as in_hours
from shopapi.labor.rules.sheet import sheet

TAGS = ["reports"]
Rate = Annotated[int, Field(ge=0, le=10**9)]


class HoursAsked(Parameters):
    """A day (the present one unless named), or the shop's week that it lies in; one member or all."""

    span: Literal["day", "week"] = "week"
    day: date | None = None
    member_id: UUID | None = None

    def report(self, view: ShopView) -> HoursReport:
        period = hours.week_with(view.actor, self.day) if self.span == "week" else hours.day_of(view.actor, self.day)
        return reports.hours_report(view.actor, period, self.member_id)


class RoundingAsked(Parameters):
    """From one day to another, both included; the present week unless told."""

    first: date | None = None
    last: date | None = None
    member_id: UUID | None = None


class OvertimeAsked(Parameters):
    """A member's week at a rate an hour; `rates` names others by kind of time ("travel:1500,shop:1200")."""

    member_id: UUID
    day: date | None = None
    rate_minor: Rate
    rates: Annotated[str, Field(max_length=200)] = ""
    bonus_minor: Rate = 0

    def by_kind(self) -> dict[str, int]:
        """The rates by kind. Raises Invalid."""
        found = {}
        for part in filter(None, self.rates.split(",")):
            kind, _, minor = part.partition(":")
            if kind not in set(Kind) or kind in found or not (minor.isascii() and minor.isdigit()) or len(minor) > 9:
                words = "Write a kind of time and its rate, such as travel:1500,shop:1200."
                raise Invalid("invalid", words, fields=[FieldError("rates", "bad_rates", words)])
            found[kind] = int(minor)
        return found


class HoursView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="hours_report",
        summary="Hours by day, member and kind, with what runs or is in dispute beside them",
        parameters=parameters_of(HoursAsked),
        responses={200: HoursReport, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        return Response(plain(HoursAsked.read(request).report(self)))


class HoursSheetView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="hours_sheet",
        summary="The same as a table for a spreadsheet (CSV)",
        parameters=parameters_of(HoursAsked),
        responses={(200, "text/csv"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> HttpResponse:
        report = HoursAsked.read(request).report(self)
        rows = [
            (day.on.isoformat(), day.name, part.kind, in_hours(part.seconds), part.seconds, "counts")
            for day in report.days
            for part in day.kinds
        ]
        # Beside the sums, never in them: their hours stay empty.
        zone = ZoneInfo(report.zone)
        rows += [
            (one.started_at.astimezone(zone).date().isoformat(), one.name, one.kind, "", "", one.state)
            for one in report.apart
        ]
        columns = ("day", "member", "kind", "hours", "seconds", "state")
        return table_file(sheet(columns, rows), f"hours-{report.first}-{report.last}.csv")


class RoundingView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="rounding_report",
        summary="What rounding to 5, 6 or 15 minutes would take from or give to each member",
        parameters=parameters_of(RoundingAsked),
        responses={200: RoundingReport, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        asked = RoundingAsked.read(request)
        period = hours.period(self.actor, asked.first, asked.last)
        return Response(plain(reports.rounding_report(self.actor, period, asked.member_id)))


class OvertimeView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="overtime_pay",
        summary="What a member's week comes to with overtime, at rates that are not kept",
        parameters=parameters_of(OvertimeAsked),
        responses={200: OvertimePay, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        asked = OvertimeAsked.read(request)
        week = hours.week_with(self.actor, asked.day)
        pay = reports.overtime_pay(
            self.actor,
            week,
            asked.member_id,
            rate_minor=asked.rate_minor,
            rates=asked.by_kind(),
            bonus_minor=asked.bonus_minor,
        )
        return Response(plain(pay))


class HeldView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="held_report",
        summary="How often the hours told before a job held what it then took",
        responses={200: HeldReport, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        return Response(plain(reports.held_report(self.actor)))
