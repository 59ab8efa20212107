"""Schemas of the shop."""

from datetime import date
from typing import Annotated, Any, Literal
from zoneinfo import available_timezones

from pydantic import AfterValidator, Field
from typing_extensions import TypeAliasType

from shopapi.accounts.rules.calendar import ShopCalendar, StoredCalendar, WeekDay
from shopapi.accounts.rules.emails import Email
from shopapi.accounts.rules.passwords import NewPassword
from shopapi.core.enums import values_of
from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import DecimalText, Label, Name, OneLine, OptionalText, Row, Schema


def _known_zone(value: str) -> str:
    if value not in available_timezones():
        raise ValueError("unknown_zone")
    return value


Units = TypeAliasType("Units", Literal["us", "metric"])


PaperSize = TypeAliasType("PaperSize", Literal["letter", "a4"])


WeekHours = Annotated[DecimalText, Field(ge=1, le=168, decimal_places=2)]


Multiplier = Annotated[DecimalText, Field(ge=1, le=9, decimal_places=2)]


Zone = Annotated[str, Field(max_length=60), AfterValidator(_known_zone)]


Currency = Annotated[str, Field(pattern=r"^[A-Z]{3}$")]


ClockTime = Annotated[str, Field(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]


Days = Annotated[int, Field(ge=1, le=730)] | None


class FollowUpDays(Schema):
    """After, or before, how many days a follow-up is due; None: never.

    `ask_customer`: a quote that went quiet is also asked about by mail, in the shop's words.
    `notify_ready`: the customer gets a message when a machine is ready.
    """

    quote_unanswered: Days = 5
    quote_lapsing: Days = 2
    promised_near: Days = 1
    job_still: Days = 7
    check_in: Days = 30
    safety_declined: Days = 30
    service_due: Days = 335
    next_service: Days = 30
    order_overdue: Days = 1
    promise_at_risk: Days = 14
    clock_running: bool = True
    ask_customer: bool = False
    notify_ready: bool = True


def starting_follow_ups() -> dict[str, Any]:
    """The days of a new shop, as plain JSON."""
    return FollowUpDays().model_dump(mode="json")


SetUpStep = TypeAliasType(
    "SetUpStep",
    Literal["address", "labor_rates", "tax_profiles", "terms", "part_bands", "yard", "people", "customers", "install"],
)


SET_UP_STEPS = values_of(SetUpStep)
"""What a new shop is led through, in that order. Whether a step is done is seen in the shop's data."""


class FirstShop(Schema):
    """The first shop of an installation and its owner's sign-in."""

    shop_name: Name
    zone: Zone
    currency: Currency = "USD"
    name: Name
    email: Email
    password: NewPassword


class ShopFields(Schema):
    """The editable fields of a shop."""

    name: Name
    address: OptionalText
    phone: Label
    email: OneLine
    zone: Zone
    units: Units
    paper_size: PaperSize
    locale: Annotated[str, Field(max_length=20, pattern=r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$")]
    customer_language: Language = ENGLISH
    week_start: WeekDay
    overtime_after_hours: WeekHours
    overtime_multiplier: Multiplier
    clock_hours: Annotated[int, Field(ge=1, le=24)]
    quiet_from: ClockTime
    quiet_until: ClockTime
    follow_ups: FollowUpDays
    skipped_steps: Annotated[tuple[SetUpStep, ...], Field(max_length=len(SET_UP_STEPS))] = ()
    no_bypass: bool = False
    calendar: ShopCalendar = ShopCalendar()


class ShopRow(Row):
    """The shop as devices see it.

    `customer_language`: the language of new customers.
    `week_start` is the day on which its weeks begin; hours of a week beyond `overtime_after_hours` earn
    `overtime_multiplier`.
    `clock_hours`: a clock that has run this many hours opens a follow-up.
    Mail and text messages wait from `quiet_from` until `quiet_until` (HH:MM on the shop's clock).
    `skipped_steps`: the steps of the first set-up that the shop does not want to be led to.
    `holidays`: public holidays by its calendar's country, of this year and the next two.
    `no_bypass`: it hands no machine back with a bypassed or missing safety device, whatever the customer says.
    """

    name: str
    address: str
    phone: str
    email: str
    currency: str
    zone: str
    units: Units
    paper_size: PaperSize
    locale: str
    customer_language: Language
    week_start: WeekDay
    overtime_after_hours: DecimalText
    overtime_multiplier: DecimalText
    clock_hours: int
    quiet_from: str
    quiet_until: str
    follow_ups: FollowUpDays
    skipped_steps: list[SetUpStep]
    no_bypass: bool
    calendar: StoredCalendar
    holidays: list[date]
