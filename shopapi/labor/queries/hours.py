"""Clocked hours for reports: the entries that count, and separately those that run or are in dispute."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, date, datetime, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet

from shopapi.accounts.models import Member, Shop
from shopapi.accounts.queries import members, shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.errors import FieldError, Invalid, NotFound
from shopapi.core.parameters import Parameters
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.entry import EntryState
from shopapi.labor.rules.spans import DAYS_OF_WEEK, Day, WorkSpan, days_from, first_of_week

FIELDS = ("member_id", "kind", "started_at", "ended_at", "job_id", "operation", "line_id")
LONGEST_PERIOD = 371
# The longest span looked for. One of more than a day is in dispute until somebody confirms it; none lasts a month.
# Under row-level security PostgreSQL uses an index for comparisons but not for range overlap, so this bound is what
# keeps the query from reading all older entries.
LONGEST_SPAN = timedelta(days=31)


class PeriodAsked(Parameters):
    """From one day to another, both included; the current week by default."""

    first: date | None = None
    last: date | None = None


@dataclass(frozen=True)
class Period:
    """Consecutive days of a shop."""

    shop: Shop
    days: list[Day]

    @property
    def zone(self) -> str:
        return self.shop.zone

    @property
    def begins_at(self) -> datetime:
        return self.days[0].begins_at

    @property
    def ends_at(self) -> datetime:
        return self.days[-1].ends_at


def week_with(actor: Actor, day: date | None) -> Period:
    """The shop's week that contains a day; the current week without a day. Raises Invalid."""
    _refuse_far_off(day=day)
    shop = shop_of(actor)
    first = first_of_week(day or today(shop.zone), shop.week_start)
    return Period(shop, days_from(first, DAYS_OF_WEEK, shop.zone))


def day_of(actor: Actor, day: date | None) -> Period:
    """One day of the shop; today without a day. Raises Invalid."""
    _refuse_far_off(day=day)
    shop = shop_of(actor)
    return Period(shop, days_from(day or today(shop.zone), 1, shop.zone))


def period(actor: Actor, first: date | None, last: date | None) -> Period:
    """From one day to another, both included; the current week by default. Raises Invalid."""
    _refuse_far_off(first=first, last=last)
    shop = shop_of(actor)
    begin = first or first_of_week(last or today(shop.zone), shop.week_start)
    end = last or begin + timedelta(days=DAYS_OF_WEEK - 1)
    if end < begin or (end - begin).days >= LONGEST_PERIOD:
        raise Invalid(
            "bad_period",
            fields=[FieldError("last", "bad_period", context={"longest_period": LONGEST_PERIOD})],
            context={"longest_period": LONGEST_PERIOD},
        )
    return Period(shop, days_from(begin, (end - begin).days + 1, shop.zone))


def _refuse_far_off(**days: date | None) -> None:
    for field, day in days.items():
        if day is not None and not MINYEAR < day.year < MAXYEAR:
            raise Invalid(
                "bad_period", message="day_far_off", fields=[FieldError(field, "bad_period", message="day_far_off")]
            )


def visible_member_id(actor: Actor, member_id: UUID | None) -> UUID | None:
    """The member whose hours are shown; None: everybody's, for those who may see them.

    Without that permission it is the actor. Raises Forbidden for another member, NotFound for an unknown one.
    """
    if not actor.may(Permission.CORRECT_TIME):
        if member_id not in {None, actor.member_id}:
            actor.require(Permission.CORRECT_TIME)
        return actor.member_id
    if member_id is not None and not members(actor).filter(id=member_id).exists():
        raise NotFound("member", member_id, field="member_id")
    return member_id


def work_spans(actor: Actor, within: Period, member_id: UUID | None) -> Iterator[WorkSpan]:
    """The ended spans that count and overlap the period, not cut to it. `member_id` None: everybody's."""
    entries = _of(actor, member_id).filter(
        state=EntryState.CLOSED,
        started_at__gte=within.begins_at - LONGEST_SPAN,
        started_at__lt=within.ends_at,
        ended_at__gt=within.begins_at,
    )
    return (WorkSpan(*row) for row in entries.order_by("started_at", "id").values_list(*FIELDS))


def unsettled_entries(actor: Actor, within: Period, member_id: UUID | None) -> list[TimeEntry]:
    """The running and disputed entries of the period, which are shown but not summed."""
    entries = _of(actor, member_id).filter(
        Q(state__in=[EntryState.OPEN, EntryState.DISPUTED]),
        Q(ended_at=None) | Q(ended_at__gt=within.begins_at),
        started_at__lt=within.ends_at,
    )
    return list(entries.order_by("started_at", "id"))


def names_of_members(actor: Actor) -> dict[UUID, str]:
    return dict(Member.objects.filter(shop=actor.shop_id).values_list("id", "name"))


def _of(actor: Actor, member_id: UUID | None) -> QuerySet[TimeEntry]:
    entries = TimeEntry.objects.filter(shop=actor.shop_id)
    return entries if member_id is None else entries.filter(member=member_id)
