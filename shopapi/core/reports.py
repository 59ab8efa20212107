"""Reports on REST: their parameters, the answer, and the answer as CSV."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.urls import URLPattern
from django.urls import path as route
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.core.actor import Actor
from shopapi.core.errors import BadParameter, Invalid
from shopapi.core.http.csv import csv_response
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters
from shopapi.core.replica import read_where_current
from shopapi.core.schema import Schema, to_json

TAGS = ["reports"]


@dataclass(frozen=True)
class Report:
    """A report below `reports/`.

    `answer(actor, asked)` computes it. `table(answer)` is the same as the bytes of a CSV file and its name; a report
    without a `table` has no CSV path.
    """

    path: str
    name: str
    summary: str
    row: type[Schema]
    reads: str
    answer: Callable[[Actor, Any], Schema]
    asked: type[Parameters] = Parameters
    table: Callable[[Any], tuple[bytes, str]] | None = None

    def urls(self) -> list[URLPattern]:
        """The paths of this report, relative to the API's root."""
        found = [route(f"reports/{self.path}", _answered(self).as_view(), name=self.name)]
        if self.table is not None:
            view = _tabled(self, self.table).as_view()
            found.append(route(f"reports/{self.path}.csv", view, name=f"{self.path}_sheet"))
        return found

    def read(self, view: ShopView, request: Request) -> Schema:
        """The report as asked for. Raises BadParameter: all that a reader sends is parameters."""
        asked, actor = self.asked.read(request.query_params), view.actor
        try:
            return read_where_current(actor.shop_id, lambda: self.answer(actor, asked))
        except Invalid as refused:
            raise BadParameter(refused.code, fields=refused.fields, reason=refused.reason) from None


def _answered(report: Report) -> type[ShopView]:
    class Answered(ShopView):
        needs = {"GET": report.reads}

        @extend_schema(
            operation_id=report.name,
            summary=report.summary,
            parameters=query_parameters(report.asked),
            responses={200: report.row, **PROBLEMS},
            tags=TAGS,
        )
        def get(self, request: Request) -> Response:
            return Response(to_json(report.read(self, request)))

    return Answered


def _tabled(report: Report, table: Callable[[Any], tuple[bytes, str]]) -> type[ShopView]:
    class Tabled(ShopView):
        needs = {"GET": report.reads}
        answers = ("text/csv",)

        @extend_schema(
            operation_id=f"{report.path}_sheet",
            summary=f"{report.summary} (CSV, a table for a spreadsheet)",
            parameters=query_parameters(report.asked),
            responses={(200, "text/csv"): OpenApiTypes.BINARY, **PROBLEMS},
            tags=TAGS,
        )
        def get(self, request: Request) -> HttpResponse:
            return csv_response(*table(report.read(self, request)))

    return Tabled
