"""What the shop's own orders say of its suppliers, and of the parts that its jobs still wait for.

Twin: `pwa/src/store/promises.ts`.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import count
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import ShopCalendar
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.schema import parse
from shopapi.parts.models import PartNeed, PartOrderLine, Supplier
from shopapi.parts.queries.orders import status_of
from shopapi.parts.rules.arrivals import ArrivalCondition
from shopapi.parts.rules.business_days import OpenDays, add_business_days, business_days_between, open_days_of
from shopapi.parts.rules.lead_times import (
    ENOUGH_ARRIVALS,
    MOST_WAITS,
    LeadTime,
    Wait,
    lead_time,
    usual_lead_time,
)
from shopapi.parts.rules.needs import WAITED_FOR, PartState
from shopapi.parts.rules.orders import UNDERWAY, OrderState
from shopapi.parts.rules.promise import Expected


@dataclass(frozen=True)
class OpenLine:
    """A line that is still to come: when it was sent, and the day that the supplier gave."""

    line: PartOrderLine
    sent_on: date
    promised_on: date | None


@dataclass(frozen=True)
class PromiseSupplies:
    """What is known of the shop's suppliers today: lead times by supplier, and lines to come by need."""

    today: date
    calendar: ShopCalendar
    open_days: OpenDays
    lead_times: Mapping[UUID, LeadTime]
    to_come: Mapping[UUID, OpenLine]
    lines: list[OpenLine] = field(default_factory=list)

    def expected(self, need: PartNeed) -> Expected | None:
        """A part that a job waits for; None if nothing can be said of it."""
        open_line = self.to_come.get(need.id)
        supplier_id = open_line.line.order.supplier_id if open_line else need.supplier_id
        known = self.lead_times.get(supplier_id) if supplier_id else None
        if known is None or need.state == PartState.NO_LONGER_MADE:
            return None
        if open_line is None:
            return Expected(supplier_id, known)
        waited = business_days_between(open_line.sent_on, self.today, self.open_days)
        until = 0
        if open_line.promised_on:
            until = business_days_between(self.today, open_line.promised_on, self.open_days)
        return Expected(supplier_id, known, waited, until)

    def expected_on(self, open_line: OpenLine) -> tuple[date, str] | None:
        """The day by which a line should be here, and whether that is what the supplier said or its history."""
        if open_line.promised_on:
            return open_line.promised_on, "supplier"
        known = self.lead_times.get(open_line.line.order.supplier_id)
        days = known.days_for(self.calendar.promise_percent / 100) if known else None
        if days is None:
            return None
        return add_business_days(open_line.sent_on, days, self.open_days), "history"


def supplies_of(actor: Actor, shop: Shop) -> PromiseSupplies:
    """Read the lines that are to come, and of each supplier only the latest that its history is made of."""
    calendar = parse(ShopCalendar, shop.calendar)
    open_days, on_day, zone = open_days_of(calendar, shop.holidays), today(shop.zone), ZoneInfo(shop.zone)
    lines = [
        OpenLine(line, line.order.sent_at.astimezone(zone).date(), line.promised_on or line.order.promised_on)
        for line in lines_under_way(actor)
        if status_of(line).open
    ]
    history = _History(actor, on_day, open_days, zone)
    return PromiseSupplies(
        on_day,
        calendar,
        open_days,
        _lead_times(actor, history),
        {one.line.need_id: one for one in lines if one.line.need_id},
        lines,
    )


def lines_under_way(actor: Actor) -> QuerySet[PartOrderLine]:
    """The lines of orders under way, the latest order first; by the index `part_order_by_state`."""
    lines = PartOrderLine.objects.filter(shop=actor.shop_id, order__shop=actor.shop_id, order__sent_at__isnull=False)
    found = lines.filter(order__state__in=UNDERWAY).select_related("order__supplier").prefetch_related("arrivals")
    return found.order_by("-order__sent_at", "id")


def sent_lines(actor: Actor, supplier_id: UUID) -> QuerySet[PartOrderLine]:
    """The lines sent to a supplier, the latest order first; by the index `part_order_by_sent`."""
    sent = PartOrderLine.objects.filter(shop=actor.shop_id, order__shop=actor.shop_id, order__supplier=supplier_id)
    sent = sent.filter(order__sent_at__isnull=False).exclude(order__state=OrderState.CANCELLED)
    return sent.select_related("order").prefetch_related("arrivals").order_by("-order__sent_at", "id")


@dataclass(frozen=True)
class _History:
    """How long the latest lines of suppliers took, read by pages until there are enough."""

    actor: Actor
    today: date
    open_days: OpenDays
    zone: ZoneInfo

    def waits(self, supplier_id: UUID) -> list[Wait]:
        found: list[Wait] = []
        sent = sent_lines(self.actor, supplier_id)
        for start in count(0, MOST_WAITS):
            page = list(sent[start : start + MOST_WAITS])
            found += [wait for line in page if (wait := self._wait(line))]
            if len(page) < MOST_WAITS or len(found) >= MOST_WAITS:
                break
        return found[:MOST_WAITS]

    def _wait(self, line: PartOrderLine) -> Wait | None:
        """None for a line of which nothing came and nothing is to come."""
        still_open, arrived_on = status_of(line).open, _arrived_on(line, self.zone)
        until = self.today if still_open else arrived_on
        if until is None or line.order.sent_at is None:
            return None
        sent_on = line.order.sent_at.astimezone(self.zone).date()
        return Wait(business_days_between(sent_on, until, self.open_days), arrived=not still_open)


def _arrived_on(line: PartOrderLine, zone: ZoneInfo) -> date | None:
    """The day on which the last of a line came in good condition."""
    undone = {arrival.undoes_id for arrival in line.arrivals.all()}
    good = [
        arrival.arrived_at
        for arrival in line.arrivals.all()
        if arrival.condition == ArrivalCondition.GOOD and arrival.id not in undone and arrival.undoes_id is None
    ]
    return max(good).astimezone(zone).date() if good else None


def _lead_times(actor: Actor, history: _History) -> dict[UUID, LeadTime]:
    """The estimate by supplier; with too few arrivals its usual days, if the shop entered them."""
    found = {}
    for supplier in Supplier.objects.filter(shop=actor.shop_id):
        known = lead_time(history.waits(supplier.id))
        if known.arrivals >= ENOUGH_ARRIVALS:
            found[supplier.id] = known
        elif supplier.lead_days is not None:
            found[supplier.id] = usual_lead_time(supplier.lead_days)
    return found


def needs_waited_for(actor: Actor) -> dict[UUID, list[PartNeed]]:
    """The parts that open jobs with a promised day wait for, by job."""
    found: dict[UUID, list[PartNeed]] = defaultdict(list)
    needs = PartNeed.objects.filter(
        shop=actor.shop_id,
        state__in=WAITED_FOR,
        job__promised_on__isnull=False,
        job__stage__in=("intake", "diagnosis", "repair", "testing"),
    )
    for need in needs.select_related("job__customer", "job__machine").order_by("created_at", "id"):
        found[need.job_id].append(need)
    return found
