"""Entries that no clock made: by hand, and in place of others."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http import KEY_HEADER, PROBLEMS, ShopView, run_once
from shopapi.labor import queries
from shopapi.labor.rules.entry import Correction, EntryByHand, TimeEntryRow
from shopapi.labor.services.mending import add_entry, correct_entry

TAGS = ["time entries"]


class ByHandView(ShopView):
    needs = {"POST": Permission.CLOCK}

    @extend_schema(
        operation_id="add_entry",
        summary="Write down time that no clock was running for",
        request=EntryByHand,
        parameters=[KEY_HEADER],
        responses={201: TimeEntryRow, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request) -> Response:
        return run_once(request, self.actor, add_entry, lambda row: queries.show_entry(self.actor, row), 201)


class CorrectionsView(ShopView):
    needs = {"POST": Permission.CLOCK}

    @extend_schema(
        operation_id="correct_entry",
        summary="Put an entry right: a new one replaces it, and says why",
        request=Correction,
        parameters=[KEY_HEADER],
        responses={201: TimeEntryRow, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request) -> Response:
        return run_once(request, self.actor, correct_entry, lambda row: queries.show_entry(self.actor, row), 201)
