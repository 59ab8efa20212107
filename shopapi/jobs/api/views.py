"""Search over customers, machines and jobs."""

from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.errors import BadParameter, FieldError
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.core.replica import read_where_current
from shopapi.core.schema import Schema, to_json
from shopapi.jobs import queries

LONGEST_QUERY = 100


class HitRow(Schema):
    kind: str
    id: UUID
    title: str
    detail: str


class Hits(Schema):
    rows: list[HitRow]


class SearchView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="search",
        summary="Customers, machines and jobs by name, phone, serial or number",
        parameters=[
            OpenApiParameter(
                "q",
                {"type": "string", "minLength": 1, "maxLength": LONGEST_QUERY, "pattern": r"\S"},
                OpenApiParameter.QUERY,
                required=True,
                description="Part of a name, a number, a serial or a telephone number.",
            )
        ],
        responses={200: Hits, **PROBLEMS},
        tags=["search"],
    )
    def get(self, request: Request) -> Response:
        q = request.query_params.get("q", "").strip()
        if not q or len(q) > LONGEST_QUERY or "\x00" in q:
            raise BadParameter(
                "invalid", fields=[FieldError("q", "bad_query", context={"longest_query": LONGEST_QUERY})]
            )
        actor = self.actor
        found = read_where_current(actor.shop_id, lambda: queries.search(actor, q))
        rows = [HitRow(kind=hit.kind, id=hit.id, title=hit.title, detail=hit.detail) for hit in found]
        return Response(to_json(Hits(rows=rows)))
