"""The change list for programs: `changes?since=`."""

from typing import Annotated

from django.db import transaction
from django.utils.decorators import method_decorator
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop_snapshot
from shopapi.sync import queries
from shopapi.sync.rules.changes import ChangesAnswer


class ChangesQuery(Parameters):
    since: Annotated[
        str,
        Field(
            description=(
                "The `next` of the answer before. Without it everything is listed from the beginning. The `cursor` of a"
                " webhook's delivery serves as well."
            )
        ),
    ] = ""
    limit: Annotated[
        int, Field(ge=1, le=queries.MAX_CHANGES_PER_PAGE, description="How many changes at most in one answer.")
    ] = queries.ROWS_FOR_PROGRAMS


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class ChangesView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="list_changes",
        summary="What changed, for programs: rows of every kind, removed ones too, each at least once",
        description=(
            "Every kind of row that the key may list, with its deletions, a page at a time. Ask without `since`, then"
            " with the `next` of each answer: at once while `more` is true, later otherwise. Keep `next` together with"
            " what was read. 409 `changes_start_over`: after a restored backup, a change of what the key may see, or"
            " too long a pause, ask again without `since`; every row then comes again."
        ),
        parameters=query_parameters(ChangesQuery),
        responses={200: ChangesAnswer, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request) -> Response:
        asked = ChangesQuery.read(request.query_params)
        with in_shop_snapshot(self.actor.shop_id):
            return Response(to_json(queries.list_changes(self.actor, asked.since, most=asked.limit)))
