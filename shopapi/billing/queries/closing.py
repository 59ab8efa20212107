"""Reads of closed periods."""

from datetime import date

from shopapi.billing.models import PeriodClose
from shopapi.core.actor import Actor


def closed_through(actor: Actor) -> date | None:
    """The last day that is closed; None: nothing is."""
    of_shop = PeriodClose.objects.filter(shop=actor.shop_id).order_by("-created_at", "-id")
    return of_shop.values_list("closed_through", flat=True).first()
