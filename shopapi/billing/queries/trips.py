"""The trips that were driven for a job: pickups and returns that are done."""

from typing import cast
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.queries import shop_of
from shopapi.billing.models import InvoiceLine
from shopapi.billing.rules.collecting import DrivenTrip
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceState
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.actor import Actor
from shopapi.core.languages import Language, locale_for
from shopapi.dispatch.models import Stop
from shopapi.documents.rules.number_format import Figures

TRIP = {"pickup": "trip_pickup", "return": "trip_return"}


def driven_trips(actor: Actor, job_id: UUID) -> list[DrivenTrip]:
    """The pickups and returns of a job that are done, oldest first, with the figures last billed for their place."""
    shop = shop_of(actor)
    stops = Stop.objects.filter(shop=actor.shop_id, job=job_id, kind__in=("pickup", "return"), state="left")
    found = []
    for stop in stops.select_related("job__customer").order_by("left_at", "id"):
        if stop.left_at is None or stop.site_id is None:
            continue
        language = cast("Language", stop.job.customer.language)
        figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
        day = figures.day(stop.left_at.astimezone(ZoneInfo(shop.zone)).date())
        last = _last_billed(actor, stop.site_id)
        found.append(
            DrivenTrip(
                stop_id=stop.id,
                words=TEXTS[language].say(TRIP[stop.kind], day=day),
                distance=None if last is None else last.distance,
                zone_key=None if last is None else last.zone_key,
            )
        )
    return found


def _last_billed(actor: Actor, site_id: UUID) -> InvoiceLine | None:
    """The line of the trip to a place that was billed last."""
    stops = Stop.objects.filter(shop=actor.shop_id, site=site_id).values("id")
    lines = InvoiceLine.objects.filter(shop=actor.shop_id, stop_id__in=stops, invoice__kind=InvoiceKind.INVOICE)
    issued = lines.exclude(invoice__state=InvoiceState.DRAFT)
    return issued.order_by("invoice__issued_at", "id").last()
