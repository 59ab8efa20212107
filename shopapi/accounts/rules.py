"""Who may do what, and the shapes of shops, members and devices."""

import string
from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated, Any, Literal
from uuid import UUID
from zoneinfo import available_timezones

from pydantic import AfterValidator, AwareDatetime, ConfigDict, Field

from shopapi.core.shape import Aside, DecimalText, Label, Name, Row, Shape, Text


class Role(StrEnum):
    OWNER = "owner"
    OFFICE = "office"
    MECHANIC = "mechanic"


class Permission(StrEnum):
    """What a role may be allowed. Values are stable: they stand on the wire and in the tables of tests.

    HAND_IN, sending what was written on one's phone, is all that is left to whose membership has ended.
    """

    HAND_IN = "hand_in"
    READ = "read"
    SEE_COST = "see_cost"
    EDIT_SHOP = "edit_shop"
    MANAGE_MEMBERS = "manage_members"
    MANAGE_CUSTOMERS = "manage_customers"
    MANAGE_MACHINES = "manage_machines"
    WORK_JOBS = "work_jobs"
    CLOCK = "clock"
    CORRECT_TIME = "correct_time"
    PLAN_RUNS = "plan_runs"
    PLAN_OWN_DAY = "plan_own_day"
    DRIVE_RUNS = "drive_runs"
    QUOTE = "quote"
    OFFER = "offer"
    RECORD_DECISION = "record_decision"
    MESSAGE = "message"
    FOLLOW_UP = "follow_up"
    SETTLE_ISSUES = "settle_issues"
    SEE_AUDIT = "see_audit"


_MECHANIC = frozenset(
    {
        Permission.HAND_IN,
        Permission.READ,
        Permission.MANAGE_CUSTOMERS,
        Permission.MANAGE_MACHINES,
        Permission.WORK_JOBS,
        Permission.CLOCK,
        Permission.DRIVE_RUNS,
        Permission.PLAN_OWN_DAY,
        Permission.QUOTE,
        Permission.OFFER,
        Permission.RECORD_DECISION,
        Permission.MESSAGE,
        Permission.FOLLOW_UP,
        Permission.SETTLE_ISSUES,
    }
)
_OFFICE = _MECHANIC | {
    Permission.CORRECT_TIME,
    Permission.PLAN_RUNS,
    Permission.SEE_COST,
    Permission.SEE_AUDIT,
}

PERMISSIONS: Mapping[Role, frozenset[Permission]] = {
    Role.MECHANIC: _MECHANIC,
    Role.OFFICE: _OFFICE,
    Role.OWNER: frozenset(Permission),
}


def permissions_of(role: Role, *, may_see_cost: bool) -> frozenset[str]:
    """What a member may do: the role's row of the table, and costs where the owner allowed them."""
    extra = {Permission.SEE_COST} if may_see_cost else set()
    return frozenset(PERMISSIONS[role] | extra)


def is_last_owner(role: Role, *, owners: int) -> bool:
    """Whether a shop with so many active owners would be without one if this member left."""
    return role == Role.OWNER and owners <= 1


def letter_of(ordinal: int) -> str:
    """The mark of the n-th device of a shop, counted from 0: A to Z, then AA, AB ...

    >>> [letter_of(n) for n in (0, 25, 26, 701, 702)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    ordinal += 1
    while ordinal:
        ordinal, rest = divmod(ordinal - 1, 26)
        letters = string.ascii_uppercase[rest] + letters
    return letters


def _known_zone(value: str) -> str:
    if value not in available_timezones():
        raise ValueError("unknown_zone")
    return value


WEEK_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
WeekDay = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WeekHours = Annotated[DecimalText, Field(ge=1, le=168, decimal_places=2)]
Multiplier = Annotated[DecimalText, Field(ge=1, le=9, decimal_places=2)]
Zone = Annotated[str, Field(max_length=60), AfterValidator(_known_zone)]
Currency = Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
Email = Annotated[Text, Field(max_length=254, pattern=r"^[^@\s]+@[^@\s]+\.[^@\s]+$")]


ClockTime = Annotated[str, Field(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]
Days = Annotated[int, Field(ge=1, le=730)] | None


class FollowUpDays(Shape):
    """After, or before, how many days the shop wants to be told; None: not at all.

    `ask_owner`: a quote that went quiet is also asked about by mail, in the shop's words.
    """

    quote_unanswered: Days = 5
    quote_lapsing: Days = 2
    promised_near: Days = 1
    job_still: Days = 7
    check_in: Days = 30
    safety_declined: Days = 30
    service_due: Days = 335
    clock_running: bool = True
    ask_owner: bool = False


def starting_follow_ups() -> dict[str, Any]:
    """The days of a new shop, as plain JSON."""
    return FollowUpDays().model_dump(mode="json")


class FirstShop(Shape):
    """What opens the first shop of an installation: the shop, and its owner's sign-in."""

    shop_name: Name
    zone: Zone
    currency: Currency = "USD"
    name: Name
    email: Email
    password: Annotated[Text, Field(min_length=12, max_length=128)]


class ShopFields(Shape):
    """What may be edited of a shop. What its price book may hold is checked by `quotes`."""

    name: Name
    address: Aside
    phone: Label
    email: Label
    zone: Zone
    units: Literal["us", "metric"]
    paper: Literal["letter", "a4"]
    locale: Annotated[str, Field(max_length=20, pattern=r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$")]
    week_start: WeekDay
    overtime_after_hours: WeekHours
    overtime_multiplier: Multiplier
    book: dict[str, Any]
    clock_hours: Annotated[int, Field(ge=1, le=24)]
    quiet_from: ClockTime
    quiet_until: ClockTime
    follow_ups: FollowUpDays


class ShopRow(Row):
    """The shop as its devices see it; `book` is its price book, without mark-ups where costs are hidden.

    `week_start` is the day on which its weeks begin; hours of a week beyond `overtime_after_hours` earn
    `overtime_multiplier`.
    `clock_hours`: after so many hours a running clock is asked about.
    Mail and text messages wait from `quiet_from` until `quiet_until` (HH:MM on the shop's clock).
    """

    name: str
    address: str
    phone: str
    email: str
    currency: str
    zone: str
    units: str
    paper: str
    locale: str
    week_start: str
    overtime_after_hours: DecimalText
    overtime_multiplier: DecimalText
    book: dict[str, Any]
    clock_hours: int
    quiet_from: str
    quiet_until: str
    follow_ups: FollowUpDays


class MemberRow(Row):
    name: str
    role: str
    may_see_cost: bool
    active: bool


class NewMember(Shape):
    """A person who joins the shop, with a first password that they should change."""

    id: UUID
    name: Name
    email: Email
    role: Role
    may_see_cost: bool = False
    password: Annotated[Text, Field(min_length=12, max_length=128)]


class PasswordChange(Shape):
    """A member's own new password, with the one that they have until then."""

    old: Annotated[Text, Field(max_length=128)]
    new: Annotated[Text, Field(min_length=12, max_length=128)]


class DeviceRow(Row):
    """A signed-in browser. `skew_ms`: how far its clock was ahead of the server's when it last sent."""

    member_id: UUID
    letter: str
    label: str
    build: str
    next_no: int
    skew_ms: int
    revoked_at: AwareDatetime | None


class AuditRow(Shape):
    """Who did what to which row, when."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, from_attributes=True)

    id: UUID
    at: AwareDatetime
    event: str
    member_id: UUID | None
    device_id: UUID | None
    command_id: UUID | None
    subject_kind: str
    subject_id: UUID
    details: dict[str, Any]


class NewDevice(Shape):
    """A browser that registers itself: its own id, what it calls itself and the build it runs."""

    id: UUID
    label: Label = ""
    build: Label = ""


STARTING_BOOK: Mapping[str, Any] = {
    "minor_digits": 2,
    "rounding": "half_up",
    "labor_rates": [{"key": "standard", "label": "Standard", "minor_per_hour": 9000, "member_id": None, "work": None}],
    "labor_minimum_minor": 0,
    "diagnosis_fee_minor": 0,
    "credit_diagnosis": True,
    "part_bands": [{"up_to_minor": None, "markup_percent": "40"}],
    "supplies": {"percent": "0", "of": ["labor"], "floor_minor": 0, "cap_minor": None},
    "travel": {
        "mode": "distance",
        "minor_per_unit": 0,
        "unit": "mi",
        "free_units": "0",
        "minimum_minor": 0,
        "zones": [],
    },
    "deposit": {"percent": "0", "of": "parts", "from_total_minor": 0, "rounding_to_minor": 1},
    "tolerance_percent": "0",
    "terms": "",
    "valid_days": 30,
    "tax_profiles": [
        {
            "key": "none",
            "label": "No tax entered yet",
            "from_on": "2020-01-01",
            "until_on": None,
            "inclusive": False,
            "per": "invoice",
            "rounding": "half_up",
            "rates": [],
            "labor": "always",
            "part": True,
            "supplies": True,
            "travel": True,
            "fee": True,
            "lumped": False,
        }
    ],
}


def starting_book(currency: str) -> dict[str, Any]:
    """A plain price book for a new shop: every figure is for the owner to change."""
    return {"currency": currency, **STARTING_BOOK}
