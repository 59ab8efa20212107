"""The shop's calendar: on which days it works, when its season starts, and how sure its forecasts have to be."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Annotated, Any, Literal

import holidays
from pydantic import AfterValidator, BeforeValidator, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import values_of
from shopapi.core.schema import Label, Schema, parse

WeekDay = TypeAliasType(
    "WeekDay", Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
)


WEEK_DAYS = values_of(WeekDay)

LONGEST_CLOSED_DAYS = 366


class ClosedDays(Schema):
    """Days on which the shop is closed, both ends included."""

    first: date
    last: date
    note: Label = ""


def _in_order(spans: tuple[ClosedDays, ...]) -> tuple[ClosedDays, ...]:
    if any(not 0 <= (span.last - span.first).days <= LONGEST_CLOSED_DAYS for span in spans):
        raise ValueError("closed_upside_down")
    return spans


Country = Annotated[str, Field(pattern=r"^([A-Z]{2})?$")]
Region = Annotated[str, Field(pattern=r"^[A-Z0-9]{0,3}$")]
MonthAndDay = Annotated[str, Field(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$")]
Chance = Annotated[int, Field(ge=5, le=99)]


class ShopCalendar(Schema):
    """On which days the shop works, and how sure its forecasts have to be, in percent.

    `country` and `region`: whose public holidays it keeps (ISO 3166); empty: none. `season_from`: month and day on
    which its season starts. `promise_percent`: a promised day is kept by the parts with at least this chance.
    `risk_percent`: a promise with a lower chance opens a follow-up. `service_percent`: a service that is due before the
    next season with at least this chance opens one.
    """

    country: Country = ""
    region: Region = ""
    open_on: Annotated[tuple[WeekDay, ...], Field(min_length=1, max_length=7)] = WEEK_DAYS[:5]
    closed: Annotated[tuple[ClosedDays, ...], Field(max_length=60), AfterValidator(_in_order)] = ()
    season_from: MonthAndDay = "04-01"
    promise_percent: Chance = 80
    risk_percent: Chance = 50
    service_percent: Chance = 50


def _from_json(value: object) -> object:
    return parse(ShopCalendar, value) if isinstance(value, Mapping) else value


StoredCalendar = Annotated[ShopCalendar, BeforeValidator(_from_json)]
"""A calendar read from the plain JSON that a row of the database holds."""


def starting_calendar() -> dict[str, Any]:
    """The calendar of a new shop, as plain JSON."""
    return ShopCalendar().model_dump(mode="json")


def public_holidays(country: str, region: str, years: Iterable[int]) -> frozenset[date]:
    """The public holidays of a country and its region in these years; none for a country that is not known.

    >>> date(2026, 11, 26) in public_holidays("US", "", [2026])
    True
    """
    known = holidays.list_supported_countries()
    if country not in known:
        return frozenset()
    return frozenset(
        holidays.country_holidays(country, subdiv=region if region in known[country] else None, years=list(years))
    )


def closed_days(calendar: ShopCalendar) -> frozenset[date]:
    """The shop's own closed days, one by one."""
    return frozenset(
        span.first + timedelta(days=n) for span in calendar.closed for n in range((span.last - span.first).days + 1)
    )
