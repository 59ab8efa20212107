"""Reports on work that came back, and on what was quoted against what was billed."""

from collections.abc import Callable
from decimal import Decimal

from shopapi.accounts.rules import Permission
from shopapi.billing.queries.comebacks import comebacks_report
from shopapi.billing.queries.quoted_billed import quoted_billed_report
from shopapi.billing.rules.comebacks import ComebacksReport
from shopapi.billing.rules.quoted_billed import QuotedBilledReport
from shopapi.core.actor import Actor
from shopapi.core.money import decimal_amount
from shopapi.core.reports import Report
from shopapi.labor.queries.hours import PeriodAsked, period
from shopapi.labor.rules.csv_table import hours, sheet


def _amounts(digits: int) -> Callable[[int | None], Decimal | None]:
    return lambda minor: None if minor is None else decimal_amount(minor, digits)


def _comebacks(actor: Actor, asked: PeriodAsked) -> ComebacksReport:
    return comebacks_report(actor, period(actor, asked.first, asked.last))


def _comebacks_table(report: ComebacksReport) -> tuple[bytes, str]:
    amount = _amounts(report.minor_digits)
    columns = (
        "opened",
        "comeback",
        "first job",
        "kind",
        "warranty",
        "hours",
        "billed",
        "cost of labor",
        "cost of parts",
        "parts without a cost",
        "cost not billed",
    )
    rows = [
        (
            each.opened_on.isoformat(),
            each.job,
            each.first,
            each.kind,
            each.warranty,
            hours(each.clocked_seconds),
            amount(each.billed_minor),
            amount(each.labor_cost_minor),
            amount(each.parts_cost_minor),
            each.unknown_costs,
            amount(each.unbilled_cost_minor),
        )
        for each in report.comebacks
    ]
    return sheet(columns, rows), f"comebacks-{report.first}-{report.last}.csv"


def _quoted_billed(actor: Actor, asked: PeriodAsked) -> QuotedBilledReport:
    return quoted_billed_report(actor, period(actor, asked.first, asked.last))


def _quoted_billed_table(report: QuotedBilledReport) -> tuple[bytes, str]:
    amount = _amounts(report.minor_digits)
    columns = ("job", "kind", "quoted", "billed", "difference", "quoted hours", "billed hours", "clocked hours")
    rows = [
        (
            each.job,
            each.kind,
            amount(each.quoted_minor),
            amount(each.billed_minor),
            amount(each.difference_minor),
            hours(each.quoted_seconds),
            hours(each.billed_seconds),
            hours(each.clocked_seconds),
        )
        for each in report.jobs
    ]
    return sheet(columns, rows), f"quoted-billed-{report.first}-{report.last}.csv"


comebacks = Report(
    "comebacks",
    "comebacks_report",
    "Comebacks opened in a period against jobs finished in it, by kind of work and member; amounts in minor units",
    ComebacksReport,
    Permission.READ,
    _comebacks,
    asked=PeriodAsked,
    table=_comebacks_table,
)
quoted_billed = Report(
    "quoted-billed",
    "quoted_billed_report",
    "Quoted against billed by job, hours billed against hours clocked; amounts in minor units",
    QuotedBilledReport,
    Permission.KEEP_BOOKS,
    _quoted_billed,
    asked=PeriodAsked,
    table=_quoted_billed_table,
)
