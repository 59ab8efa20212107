"""The wire schemas of the yard: where runs begin and end, how the shop drives, and times learned from past days."""

from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Row, Schema
from shopapi.customers.rules.customer import Latitude, Longitude
from shopapi.dispatch.rules.schemas.clock import ClockTime

Minutes = Annotated[int, Field(ge=0, le=720)]
Permille = Annotated[int, Field(ge=0, le=500)]


class YardFields(Schema):
    """Where runs begin and end, and how this shop drives and works. Minutes are used until learned ones exist.

    `speed_kmh` None: as learned from driven legs, or the default. `trailer_percent`: how much slower with a trailer.
    `turn_in_minutes`: from the road to work, at each stop. Tongue range in permille of the loaded trailer.
    """

    lat: Latitude | None = None
    lon: Longitude | None = None
    opens: ClockTime = "07:00"
    closes: ClockTime = "18:00"
    loading_minutes: Minutes = 10
    pickup_minutes: Minutes = 20
    return_minutes: Minutes = 15
    visit_minutes: Minutes = 45
    speed_kmh: Annotated[int, Field(ge=5, le=130)] | None = None
    trailer_percent: Annotated[int, Field(ge=0, le=60)] = 10
    turn_in_minutes: Annotated[int, Field(ge=0, le=60)] = 4
    # Common practice: makers of trailers and hitches print 10 to 15 %.
    tongue_low_permille: Permille = 100
    tongue_high_permille: Permille = 150
    least_tie_downs: Annotated[int, Field(ge=1, le=12)] = 4


class NewYard(YardFields):
    id: UUID


class LearnedTimes(Schema):
    """Times learned from this shop's past days.

    Minutes between arriving and leaving by kind of stop, with their number and spread (the standard deviation of the
    logarithm), and driven legs relative to the computed ones: `drive_permille` of their seconds, with an interval.
    """

    pickup_minutes: int | None = None
    pickup_count: int = 0
    pickup_spread_permille: int | None = None
    return_minutes: int | None = None
    return_count: int = 0
    return_spread_permille: int | None = None
    visit_minutes: int | None = None
    visit_count: int = 0
    visit_spread_permille: int | None = None
    drive_permille: int | None = None
    drive_low_permille: int | None = None
    drive_high_permille: int | None = None
    drive_count: int = 0


class YardRow(Row):
    lat: DecimalText | None
    lon: DecimalText | None
    opens: str
    closes: str
    loading_minutes: int
    pickup_minutes: int
    return_minutes: int
    visit_minutes: int
    speed_kmh: int | None
    trailer_percent: int
    turn_in_minutes: int
    tongue_low_permille: int
    tongue_high_permille: int
    least_tie_downs: int
    learned: LearnedTimes


def faults_of_yard(yard: YardFields) -> list[FieldError]:
    """The contradictions in the yard's fields. Twin: `faultsOfYard` in `pwa/src/domain/dispatch/rigFaults.ts`."""
    faults = []
    if yard.closes <= yard.opens:
        faults.append(FieldError("closes", "yard_ends_first"))
    if (yard.lat is None) != (yard.lon is None):
        faults.append(FieldError("lat", "half_a_place", message="half_a_yard"))
    if yard.tongue_high_permille <= yard.tongue_low_permille:
        faults.append(FieldError("tongue_high_permille", "range_ends_first"))
    return faults
