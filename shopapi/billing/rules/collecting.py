"""What is to be billed on a job: accepted lines, clocked hours, parts fitted, trips driven, storage.

Twin: `pwa/src/domain/billing/collecting.ts`.

- An accepted line is billed as it was agreed, once. Where labor is billed by time, a line that has a price by the hour
  is billed by its clocked hours, to the hundredth, and at most by the hours agreed; one on which nothing was clocked is
  billed as it was agreed.
- A part that was fitted for no line is billed at its price. One that belongs to a line is billed with that line.
- Where travel was agreed, it is billed as agreed and covers every trip. Otherwise each pickup and return that was
  driven is billed once by the price book, if it is known how far or in which zone; one that costs nothing is left out.
- Storage is billed where it is chosen, for what of it was not billed before (`storage_days.py`).
- All are priced by the basis of the first quote, with the tax profile of the day. A line of another quote whose price
  would differ on that basis gets the agreed price as its set price.
- A percentage off a quote stays a percentage where the job has one quote; otherwise, and for a fixed amount, what it
  came to on the accepted lines is taken off. A percentage on a line of discount counts on every invoice.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from shopapi.billing.rules.invoices import BilledLine, LineSource
from shopapi.billing.rules.settings import LaborBilling
from shopapi.core.money import round_half
from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.agreed import AgreedQuote
from shopapi.quotes.rules.lines import Discount, LineKind, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.prices import price_line
from shopapi.quotes.rules.totals import QuoteTotals, compute_totals, in_order

HOUR = 3600


@dataclass(frozen=True)
class FittedPart:
    """A part that was fitted for no line of a quote; amounts for one."""

    need_id: UUID
    description: str
    number: str
    quantity: Decimal
    price_minor: int | None
    cost_minor: int | None
    core_minor: int


@dataclass(frozen=True)
class DrivenTrip:
    """A pickup or return that was done. `distance`, `zone_key`: as last billed for the place; None: not known."""

    stop_id: UUID
    words: str
    distance: Decimal | None
    zone_key: str | None


@dataclass(frozen=True)
class StoredDays:
    """What storage comes to, in minor units, and its evidence as the customer reads it."""

    words: str
    amount_minor: int


@dataclass(frozen=True)
class JobWork:
    """What was done on a job. `seconds`: clocked by accepted line. `storage` None: none is to be billed.

    `billed`: lines, parts and trips that were billed.
    """

    quotes: Sequence[AgreedQuote]
    seconds: Mapping[UUID, int]
    parts: Sequence[FittedPart]
    billed: Collection[UUID]
    trips: Sequence[DrivenTrip] = ()
    storage: StoredDays | None = None


@dataclass(frozen=True)
class Warranty:
    days: int | None
    hours: Decimal | None


@dataclass(frozen=True)
class Collected:
    lines: Sequence[BilledLine]
    discount: Discount


def collect(
    basis: ShopPrices, work: JobWork, *, labor: LaborBilling, warranty: Warranty, mint: Callable[[], UUID]
) -> Collected:
    """The lines of an invoice for a job, and its discount. `mint` gives each line its id."""
    alone = len(work.quotes) == 1
    lines: list[BilledLine] = []
    off = 0
    for quote in work.quotes:
        totals = _totals(quote)
        amounts = {line.id: line.amount_minor for line in totals.lines}
        for line in in_order(quote.lines):
            stays = alone and line.discount_percent is not None and line.kind == "discount"
            if line.id not in quote.accepted or (line.id in work.billed and not stays):
                continue
            figures = _as_agreed(basis, quote.book, line, amounts[line.id], alone=alone)
            source = LineSource.TRAVEL if line.kind == "travel" else LineSource.QUOTE
            seconds = work.seconds.get(line.id, 0)
            is_set = figures.get("fixed_minor", line.fixed_minor) is not None
            if labor == "by_time" and seconds and line.hours is not None and not is_set:
                figures["hours"] = min(_hours(seconds), line.hours)
                source = LineSource.CLOCK
            more = {"source": source, "quote_line_id": line.id, **_stated(line.kind, warranty)}
            lines.append(BilledLine(**line.model_dump() | figures | more | {"id": mint(), "position": len(lines)}))
        off += sum(-row.amount_minor for row in totals.added if row.key == "discount")
    for part in work.parts:
        if part.need_id not in work.billed:
            lines.append(_fitted(part, len(lines), warranty, mint()))
    for trip in () if _is_travel_agreed(work) else work.trips:
        if trip.stop_id not in work.billed and (one := _driven(basis, trip, len(lines), mint)):
            lines.append(one)
    if work.storage is not None and work.storage.amount_minor > 0:
        lines.append(_stored(work.storage, len(lines), mint()))
    return Collected(tuple(lines), _discount(work, off, alone=alone))


def _totals(quote: AgreedQuote) -> QuoteTotals:
    return compute_totals(
        quote.book, quote.lines, accepted=quote.accepted, discount=quote.discount, exempt=quote.exempt
    )


def _as_agreed(basis: ShopPrices, own: ShopPrices, line: QuoteLine, amount: int, *, alone: bool) -> dict[str, Any]:
    """The figures of a line that keep its agreed price on the basis of the invoice; belonging and rank stay."""
    asked = {"belongs_to_id": None, "apart": None, "agreed": None, "later_minor": None}
    if line.kind == "discount":
        keeps = alone and line.discount_percent is not None
        return asked if keeps else asked | {"discount_percent": None, "discount_minor": -amount}
    agreed = price_line(own, line)
    if agreed is None or agreed == price_line(basis, line):
        return asked
    if line.kind == "part":
        return asked | {"unit_price_minor": agreed.unit}
    set_price = {"fixed_minor": agreed.gross, "unit_price_minor": None}
    return asked | set_price | ({"rate_key": None} if line.kind == "labor" else {})


def _hours(seconds: int) -> Decimal:
    return Decimal(round_half(Fraction(seconds * 100, HOUR), "half_up")) / 100


def _stated(kind: LineKind, warranty: Warranty) -> dict[str, Any]:
    if kind not in ("labor", "part"):
        return {}
    return {"warranty_days": warranty.days, "warranty_hours": warranty.hours}


def _fitted(part: FittedPart, position: int, warranty: Warranty, line_id: UUID) -> BilledLine:
    return BilledLine(
        id=line_id,
        position=position,
        kind="part",
        rank=FindingRank.NEEDED,
        words=part.description,
        part_number=part.number or None,
        quantity=part.quantity,
        unit_cost_minor=part.cost_minor,
        unit_price_minor=part.price_minor,
        core_minor=part.core_minor or None,
        source=LineSource.PART,
        need_id=part.need_id,
        **_stated("part", warranty),
    )


def _is_travel_agreed(work: JobWork) -> bool:
    lines = ((line, quote) for quote in work.quotes for line in quote.lines)
    return any(line.kind == "travel" and line.id in quote.accepted for line, quote in lines)


def _driven(basis: ShopPrices, trip: DrivenTrip, position: int, mint: Callable[[], UUID]) -> BilledLine | None:
    """The line of a trip; None where the price book has no price for it, or it costs nothing."""
    travel = basis.travel
    only = travel.zones[0].key if len(travel.zones) == 1 else None
    line = BilledLine(
        id=trip.stop_id,
        position=position,
        kind="travel",
        rank=FindingRank.NEEDED,
        words=trip.words,
        distance=trip.distance if travel.mode == "distance" else None,
        zone_key=(trip.zone_key or only) if travel.mode == "zone" else None,
        source=LineSource.TRAVEL,
        stop_id=trip.stop_id,
    )
    price = price_line(basis, line)
    return line.model_copy(update={"id": mint()}) if price is not None and price.gross > 0 else None


def _stored(storage: StoredDays, position: int, line_id: UUID) -> BilledLine:
    return BilledLine(
        id=line_id,
        position=position,
        kind="fee",
        rank=FindingRank.NEEDED,
        words=storage.words,
        fixed_minor=storage.amount_minor,
        source=LineSource.STORAGE,
    )


def _discount(work: JobWork, off: int, *, alone: bool) -> Discount:
    """The discount of the quotes: a percentage of the only one, else what came off, unless lines were billed before."""
    if alone and work.quotes[0].discount is not None and work.quotes[0].discount.percent is not None:
        return Discount(percent=work.quotes[0].discount.percent)
    lines = {line.id for quote in work.quotes for line in quote.lines}
    return Discount(minor=off) if off and not lines & set(work.billed) else Discount()
