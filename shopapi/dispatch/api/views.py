"""Printouts, calendar addresses and the calendar feeds."""

from datetime import UTC, timedelta
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import Permission
from shopapi.core.clock import today
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.answers import SECRET_HEADERS
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.dispatch import queries
from shopapi.dispatch.models import CalendarFeed, Stop
from shopapi.dispatch.rules.calendar import RunEvent, feed
from shopapi.dispatch.rules.run_sheet import KINDS, clock_words
from shopapi.dispatch.rules.schemas.calendar_feed import CalendarAddress
from shopapi.dispatch.services.calendars import address_of, feed_by
from shopapi.documents.rules import Figures
from shopapi.documents.services.storage import read_document

# How many past days a calendar feed shows.
BACK = timedelta(days=30)


class PrintoutView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_printout_pdf",
        summary="The PDF of a printout",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["printouts"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        printout = queries.printouts(self.actor).filter(id=row_id).select_related("document").first()
        if printout is None:
            raise NotFound("printouts", row_id)
        if printout.document is None:
            reason = unpack(printout.reason) if printout.reason else None
            raise Conflict("no_pdf", message="printout_not_made", reason=reason)
        return HttpResponse(
            read_document(actor=self.actor, document=printout.document),
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="{printout.kind}.pdf"',
                "Cache-Control": "private, no-store",
            },
        )


class CalendarAddressView(ShopView):
    needs = {"GET": Permission.DRIVE_RUNS}

    @extend_schema(
        operation_id="read_calendar_address",
        summary="The secret address of one's own calendar feed",
        responses={200: CalendarAddress, **PROBLEMS},
        tags=["calendar feeds"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        found = queries.calendars(self.actor).filter(id=row_id).first()
        if found is None:
            raise NotFound("calendar feeds", row_id)
        return Response(to_json(CalendarAddress(url=address_of(self.actor, found))), headers=SECRET_HEADERS)


@require_safe
def calendar(request: HttpRequest, shop_id: UUID, secret: str) -> HttpResponse:
    """The feed at a secret address, without sign-in, since calendar programs cannot sign in."""
    with in_shop(shop_id):
        found = feed_by(shop_id, secret)
        if found is None:
            return HttpResponse(status=404, headers={"Cache-Control": "no-store"})
        shop = Shop.objects.get(id=shop_id)
        content = feed(shop.name, list(_events(found, shop)))
    return HttpResponse(
        content,
        content_type="text/calendar; charset=utf-8",
        headers={"Cache-Control": "private, no-store", "Referrer-Policy": "no-referrer"},
    )


def _events(found: CalendarFeed, shop: Shop) -> list[RunEvent]:
    figures = Figures(shop.locale, shop.currency, shop.zone)
    return [
        RunEvent(
            id=run.id,
            rig=run.rig.name,
            day=run.day,
            leaves_at=None if run.leaves_at is None else run.leaves_at.astimezone(UTC),
            home_at=None if run.home_at is None else run.home_at.astimezone(UTC),
            changed_at=run.changed_at.astimezone(UTC),
            cancelled=run.state == "cancelled",
            stops=[_line(stop, figures) for stop in stops],
        )
        for run, stops in queries.runs_of_member(shop.id, found.member_id, since=today(shop.zone) - BACK)
    ]


def _line(stop: Stop, figures: Figures) -> str:
    """One stop, without the customer's name: calendar data may be shown by other people's programs."""
    machine = "" if stop.job is None else f"{stop.job} {stop.job.machine.kind}, "
    what = f"{KINDS[stop.kind]}: {machine}{stop.place_name}"
    return " ".join(part for part in (clock_words(stop.arrives_at, figures), what) if part)
