"""What the shop took and earned over a period, with a fixed number of queries."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from django.db.models import DurationField, ExpressionWrapper, F, QuerySet, Sum

from shopapi.billing.models import Invoice, Payment
from shopapi.billing.queries.invoices import totals_of
from shopapi.billing.rules.earnings import (
    JobMoney,
    MarginReport,
    MethodTakings,
    MonthTakings,
    PartsTurnedReport,
    TakingsReport,
    TakingsRow,
    TurnedPart,
    by_kind,
    by_member,
    margin_group,
    margin_row,
)
from shopapi.billing.rules.invoices import InvoiceState, sign_of
from shopapi.billing.rules.payments import tip_in, toward_bill
from shopapi.core.actor import Actor
from shopapi.core.money import minor_digits, round_half
from shopapi.jobs.models import Job
from shopapi.labor.models import TimeEntry
from shopapi.labor.queries.hours import Period, names_of_members
from shopapi.labor.rules.entry import JOB_KINDS, EntryKind, EntryState
from shopapi.parts.models import PartNeed
from shopapi.parts.rules.needs import PartState

ISSUED = (InvoiceState.ISSUED, InvoiceState.CANCELLED)


def takings_report(actor: Actor, period: Period) -> TakingsReport:
    """What was billed and taken in the period, by month and method, with the entries behind it."""
    first, last = period.days[0].on, period.days[-1].on
    entries = list(
        Payment.objects.filter(shop=actor.shop_id, paid_on__range=(first, last))
        .select_related("job", "invoice", "customer")
        .order_by("-paid_on", "-paid_at", "id")
    )
    billed, tax, taken, tips, methods = (Counter[str]() for _ in range(5))
    for invoice in issued(actor).filter(issued_on__range=(first, last)):
        totals, sign = totals_of(invoice), sign_of(invoice.kind)
        if totals and invoice.issued_on:
            billed[_month(invoice.issued_on)] += sign * totals.net_minor
            tax[_month(invoice.issued_on)] += sign * totals.tax_minor
    for entry in entries:
        taken[_month(entry.paid_on)] += toward_bill(entry)
        tips[_month(entry.paid_on)] += tip_in(entry)
        methods[entry.method] += toward_bill(entry) + tip_in(entry)
    return TakingsReport(
        zone=period.zone,
        first=first,
        last=last,
        minor_digits=minor_digits(period.shop.currency),
        months=[
            MonthTakings(
                month=month,
                billed_minor=billed[month],
                tax_minor=tax[month],
                taken_minor=taken[month],
                tips_minor=tips[month],
            )
            for month in sorted({_month(day.on) for day in period.days})
        ],
        methods=[MethodTakings(method=method, taken_minor=minor) for method, minor in methods.most_common()],
        payments=[_takings_row(entry) for entry in entries],
    )


def issued(actor: Actor) -> QuerySet[Invoice]:
    """The issued invoices and credit notes of the shop."""
    return Invoice.objects.filter(shop=actor.shop_id, state__in=ISSUED)


def _month(day: date) -> str:
    return day.isoformat()[:7]


def _takings_row(entry: Payment) -> TakingsRow:
    return TakingsRow(
        payment_id=entry.id,
        job_id=entry.job_id,
        invoice_id=entry.invoice_id,
        job=str(entry.job or entry.invoice),
        customer=entry.customer.name,
        paid_on=entry.paid_on,
        kind=entry.kind,
        method=entry.method,
        taken_minor=toward_bill(entry),
        tip_minor=tip_in(entry),
    )


def margin_report(actor: Actor, period: Period) -> MarginReport:
    """Billed, cost of parts and margin of the jobs whose last invoice was issued in the period."""
    first, last = period.days[0].on, period.days[-1].on
    jobs = _jobs_billed(actor, first, last)
    whole = margin_group("", ((job.billed_minor, job.parts_cost_minor, job.seconds) for job in jobs))
    return MarginReport(
        zone=period.zone,
        first=first,
        last=last,
        minor_digits=minor_digits(period.shop.currency),
        whole=whole,
        kinds=by_kind(jobs),
        members=by_member(jobs, names_of_members(actor)),
        jobs=[margin_row(job) for job in sorted(jobs, key=lambda job: (-job.margin_minor, job.job))],
    )


def _jobs_billed(actor: Actor, first: date, last: date) -> list[JobMoney]:
    candidates = issued(actor).filter(issued_on__range=(first, last), job__isnull=False).values("job")
    billed: Counter[UUID] = Counter()
    latest: dict[UUID, date] = {}
    for invoice in issued(actor).filter(job__in=candidates):
        totals = totals_of(invoice)
        if totals is None or invoice.job_id is None or invoice.issued_on is None:
            continue
        billed[invoice.job_id] += sign_of(invoice.kind) * totals.net_minor
        latest[invoice.job_id] = max(latest.get(invoice.job_id, date.min), invoice.issued_on)
    job_ids = {job_id for job_id, day in latest.items() if day <= last}
    costs, unknown = cost_of_parts(actor, job_ids)
    clocked = clocked_on(actor, job_ids)
    return [
        JobMoney(
            job_id=job.id,
            job=str(job),
            kind=job.machine.kind,
            billed_minor=billed[job.id],
            parts_cost_minor=costs[job.id],
            unknown_costs=unknown[job.id],
            clocked=clocked[job.id],
        )
        for job in Job.objects.filter(shop=actor.shop_id, id__in=job_ids).select_related("machine")
    ]


def cost_of_parts(actor: Actor, job_ids: Collection[UUID]) -> tuple[Counter[UUID], Counter[UUID]]:
    """By job, what the parts fitted on it cost, and how many of them have no known cost."""
    fitted = PartNeed.objects.filter(shop=actor.shop_id, job__in=job_ids, state=PartState.FITTED)
    costs, unknown = Counter[UUID](), Counter[UUID]()
    for job_id, quantity, cost in fitted.values_list("job", "quantity", "cost_minor"):
        if cost is None:
            unknown[job_id] += 1
        else:
            costs[job_id] += _times(quantity, cost)
    return costs, unknown


def _times(quantity: Decimal, each: int) -> int:
    return round_half(Fraction(quantity) * each, "half_away")


def clocked_on(
    actor: Actor, job_ids: Collection[UUID], *, kinds: Iterable[EntryKind] = JOB_KINDS
) -> defaultdict[UUID, dict[UUID, int]]:
    """By job and member, the seconds clocked on it: of work on the machine, or of other kinds."""
    took = ExpressionWrapper(F("ended_at") - F("started_at"), output_field=DurationField())
    entries = TimeEntry.objects.filter(shop=actor.shop_id, job__in=job_ids, kind__in=[*kinds], state=EntryState.CLOSED)
    found: defaultdict[UUID, dict[UUID, int]] = defaultdict(dict)
    for job_id, member_id, duration in entries.values_list("job", "member").annotate(took=Sum(took)):
        found[job_id][member_id] = int(duration.total_seconds())
    return found


def parts_turned_report(actor: Actor, period: Period) -> PartsTurnedReport:
    """The parts fitted in the period by number, or by description where there is none; the most used first."""
    rows = PartNeed.objects.filter(
        shop=actor.shop_id,
        state=PartState.FITTED,
        fitted_at__gte=period.begins_at,
        fitted_at__lt=period.ends_at,
    ).order_by("fitted_at", "id")
    found: dict[str, list[PartNeed]] = defaultdict(list)
    for need in rows:
        found[need.number or need.description].append(need)
    return PartsTurnedReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        minor_digits=minor_digits(period.shop.currency),
        parts=sorted((_turned(needs) for needs in found.values()), key=lambda part: (-part.fitted, part.number)),
    )


def _turned(needs: list[PartNeed]) -> TurnedPart:
    def whole(amounts: list[tuple[Decimal, int | None]]) -> int | None:
        return (
            sum(_times(quantity, each) for quantity, each in amounts if each is not None)
            if all(each is not None for _, each in amounts)
            else None
        )

    return TurnedPart(
        number=needs[-1].number,
        description=needs[-1].description,
        fitted=sum((need.quantity for need in needs), Decimal(0)),
        cost_minor=whole([(need.quantity, need.cost_minor) for need in needs]),
        price_minor=whole([(need.quantity, need.price_minor) for need in needs]),
        jobs=list(dict.fromkeys(need.job_id for need in needs)),
    )
