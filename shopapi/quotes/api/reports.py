"""Quoted against clocked."""

from datetime import date

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http import PROBLEMS, Parameters, ShopView, parameters_of, table_file
from shopapi.core.shape import plain
from shopapi.labor.queries.hours import period
from shopapi.labor.rules.sheet import hours, sheet
from shopapi.quotes.queries.progress import quoted_report
from shopapi.quotes.rules.records import QuotedReport

TAGS = ["reports"]


class QuotedAsked(Parameters):
    """From one day to another, both included; the present week unless told."""

    first: date | None = None
    last: date | None = None

    def report(self, view: ShopView) -> QuotedReport:
        return quoted_report(view.actor, period(view.actor, self.first, self.last))


class QuotedView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="quoted_report",
        summary="Quoted against clocked by job and line, with efficiency and recovery",
        parameters=parameters_of(QuotedAsked),
        responses={200: QuotedReport, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        return Response(plain(QuotedAsked.read(request).report(self)))


class QuotedSheetView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="quoted_sheet",
        summary="The same as a table for a spreadsheet (CSV)",
        parameters=parameters_of(QuotedAsked),
        responses={(200, "text/csv"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> HttpResponse:
        report = QuotedAsked.read(request).report(self)
        columns = ("job", "machine", "stage", "line", "work", "accepted", "quoted hours", "clocked hours")
        rows = []
        for job in report.jobs:
            head = (job.number, job.machine, job.stage)
            rows += [
                (
                    *head,
                    line.words,
                    line.operation,
                    "yes" if line.accepted else "open",
                    None if line.quoted_seconds is None else hours(line.quoted_seconds),
                    hours(line.clocked_seconds),
                )
                for line in job.lines
            ]
            if job.elsewhere_seconds:
                rows.append((*head, "for no line", "", "", None, hours(job.elsewhere_seconds)))
        return table_file(sheet(columns, rows), f"quoted-{report.first}-{report.last}.csv")
