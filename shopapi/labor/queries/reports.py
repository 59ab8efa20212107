"""Reports on clocked time. Each makes a fixed number of queries, however many entries there are."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.labor.models import TimeEntry
from shopapi.labor.queries.history import finished_work
from shopapi.labor.queries.hours import Period, names_of_members, unsettled_entries, visible_member_id, work_spans
from shopapi.labor.rules.entry import EntryKind, EntryState
from shopapi.labor.rules.history import coverage_so_far
from shopapi.labor.rules.overtime import PaidTime, compute_week_pay, overtime_seconds, round_to_minor
from shopapi.labor.rules.rounding import STEPS, Bias, biases
from shopapi.labor.rules.schemas import (
    ApartRow,
    HeldReport,
    HeldRow,
    HoursReport,
    KindSeconds,
    MemberDayRow,
    OvertimePay,
    RoundingReport,
    RoundingRow,
    StepRow,
    TotalRow,
)
from shopapi.labor.rules.spans import DAYS_OF_WEEK, WorkSpan, clip_spans
from shopapi.labor.rules.week import member_days, rework_per_hundred, seconds_by_kind

LOSES = (
    "Rounding would take time from: {names}. All time worked is to be paid: pay by the unrounded times, or by a step"
    " that takes nothing from anybody."
)
NOTE = (
    "Hours beyond the week's threshold, by the regular rate of the week. Overtime by the day, as some states have it,"
    " holidays and what is exempt are not counted: check local law."
)


def hours_report(actor: Actor, period: Period, member_id: UUID | None) -> HoursReport:
    """Hours by day, member and kind; overtime where the period is a week. Raises Forbidden, NotFound."""
    shown = visible_member_id(actor, member_id)
    spans = list(clip_spans(work_spans(actor, period, shown), period.begins_at, period.ends_at))
    names = names_of_members(actor)
    days = member_days(spans, period.days)
    by_member: dict[UUID, list[WorkSpan]] = {}
    for span in spans:
        by_member.setdefault(span.member_id, []).append(span)
    after = period.shop.overtime_after_hours if len(period.days) == DAYS_OF_WEEK else None
    members = [_total(names, member, theirs, after) for member, theirs in by_member.items()]
    return HoursReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        days=[
            MemberDayRow(
                member_id=day.member_id,
                name=names[day.member_id],
                on=day.on,
                began_at=day.began_at,
                ended_at=day.ended_at,
                seconds=day.seconds,
                kinds=_kinds(day.kinds),
            )
            for day in sorted(days, key=lambda day: (day.on, names[day.member_id], str(day.member_id)))
        ],
        members=sorted(members, key=lambda total: (total.name, str(total.member_id))),
        all=_total(names, None, spans, None),
        apart=unsettled_rows(names, unsettled_entries(actor, period, shown)),
    )


def rounding_report(actor: Actor, period: Period, member_id: UUID | None) -> RoundingReport:
    """Each member's time as rounded, of spans that ended in the period. Raises Forbidden, NotFound."""
    shown = visible_member_id(actor, member_id)
    spans = [span for span in work_spans(actor, period, shown) if span.ended_at <= period.ends_at]
    names = names_of_members(actor)
    found = biases(spans, period.zone)
    losers = sorted(names[bias.member_id] for bias in found if bias.against)
    return RoundingReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        members=sorted((_rounding(names, bias) for bias in found), key=lambda row: (row.name, str(row.member_id))),
        warning=LOSES.format(names=", ".join(losers)) if losers else "",
        apart=unsettled_rows(names, unsettled_entries(actor, period, shown)),
    )


def overtime_pay(
    actor: Actor,
    week: Period,
    member_id: UUID,
    *,
    rate_minor: int,
    rates: Mapping[str, int],
    bonus_minor: int,
) -> OvertimePay:
    """Pay of a member's week at an hourly rate, at other rates for some kinds of time, and with a bonus. Minor units.

    Raises Forbidden, NotFound.
    """
    shown = visible_member_id(actor, member_id)
    spans = clip_spans(work_spans(actor, week, shown), week.begins_at, week.ends_at)
    paid = [
        PaidTime(seconds, Fraction(rates.get(kind, rate_minor))) for kind, seconds in seconds_by_kind(spans).items()
    ]
    after, multiplier = week.shop.overtime_after_hours, week.shop.overtime_multiplier
    pay = compute_week_pay(paid, bonus_minor=bonus_minor, after_hours=after, multiplier=multiplier)
    straight = round_to_minor(pay.straight_minor)
    return OvertimePay(
        member_id=member_id,
        first=week.days[0].on,
        last=week.days[-1].on,
        seconds=pay.seconds,
        over_seconds=pay.over_seconds,
        after_hours=after,
        multiplier=multiplier,
        straight_minor=straight,
        regular_rate_minor=round_to_places(pay.regular_rate, 2),
        premium_minor=pay.total_minor - straight,
        total_minor=pay.total_minor,
        apart=unsettled_rows(names_of_members(actor), unsettled_entries(actor, week, shown)),
        note=NOTE,
    )


def held_report(actor: Actor) -> HeldReport:
    """How often the interval that was suggested before each finished job contained the job's actual time."""
    works: dict[str, list[tuple[str, int]]] = {}
    for one in finished_work(actor):
        works.setdefault(one.operation, []).append((one.machine_kind, one.minutes))
    found = [each for jobs in works.values() for each in coverage_so_far(jobs)]
    rows = []
    for level in sorted({each.level for each in found}):
        of_level = [each for each in found if each.level == level]
        promised = [each.promised for each in of_level if each.promised is not None]
        rows.append(
            HeldRow(
                level=level,
                asked=sum(each.asked for each in of_level),
                held=sum(each.held for each in of_level),
                promised=round_to_places(Fraction(sum(promised), 10), 1) if promised else None,
            )
        )
    return HeldReport(works=len(works), rows=rows)


def _total(
    names: Mapping[UUID, str], member_id: UUID | None, spans: Iterable[WorkSpan], after: Decimal | None
) -> TotalRow:
    kinds = seconds_by_kind(spans)
    seconds, again = sum(kinds.values()), rework_per_hundred(kinds)
    return TotalRow(
        member_id=member_id,
        name="" if member_id is None else names[member_id],
        seconds=seconds,
        kinds=_kinds(kinds),
        over_seconds=None if after is None else overtime_seconds(seconds, after),
        rework_per_hundred=None if again is None else round_to_places(again, 1),
    )


def _kinds(kinds: Mapping[str, int]) -> list[KindSeconds]:
    return [KindSeconds(kind=EntryKind(kind), seconds=seconds) for kind, seconds in kinds.items()]


def _rounding(names: Mapping[UUID, str], bias: Bias) -> RoundingRow:
    return RoundingRow(
        member_id=bias.member_id,
        name=names[bias.member_id],
        spans=bias.spans,
        seconds=bias.seconds,
        steps=[
            StepRow(minutes=step, seconds=bias.rounded[step], bias=bias.bias(step), against=step in bias.against)
            for step in STEPS
        ],
    )


def unsettled_rows(names: Mapping[UUID, str], entries: Iterable[TimeEntry]) -> list[ApartRow]:
    """Entries excluded from the sums (running or in dispute), with names."""
    return [
        ApartRow(
            id=entry.id,
            member_id=entry.member_id,
            name=names[entry.member_id],
            job_id=entry.job_id,
            kind=EntryKind(entry.kind),
            state=EntryState(entry.state),
            started_at=entry.started_at,
            ended_at=entry.ended_at,
        )
        for entry in entries
    ]


def round_to_places(number: Fraction, count: int) -> Decimal:
    """Round a number to so many decimal places, half up."""
    return Decimal(round_to_minor(number * 10**count)).scaleb(-count)
