"""Reports on money: takings, margin, parts turned."""

from decimal import Decimal

from shopapi.accounts.rules import Permission
from shopapi.billing.queries.earnings import margin_report, parts_turned_report, takings_report
from shopapi.billing.rules.earnings import MarginReport, PartsTurnedReport, TakingsReport
from shopapi.core.actor import Actor
from shopapi.core.money import decimal_amount
from shopapi.core.reports import Report
from shopapi.labor.queries.hours import PeriodAsked, period
from shopapi.labor.rules.csv_table import hours, sheet


def _takings(actor: Actor, asked: PeriodAsked) -> TakingsReport:
    return takings_report(actor, period(actor, asked.first, asked.last))


def _takings_table(report: TakingsReport) -> tuple[bytes, str]:
    columns = ("day", "job", "customer", "kind", "method", "amount", "tip")
    rows = [
        (
            each.paid_on.isoformat(),
            each.job,
            each.customer,
            each.kind,
            each.method,
            decimal_amount(each.taken_minor, report.minor_digits),
            decimal_amount(each.tip_minor, report.minor_digits),
        )
        for each in report.payments
    ]
    return sheet(columns, rows), f"takings-{report.first}-{report.last}.csv"


def _margin(actor: Actor, asked: PeriodAsked) -> MarginReport:
    return margin_report(actor, period(actor, asked.first, asked.last))


def _margin_table(report: MarginReport) -> tuple[bytes, str]:
    columns = ("job", "kind", "billed", "cost of parts", "parts without a cost", "hours", "margin")
    rows = [
        (
            each.job,
            each.kind,
            decimal_amount(each.billed_minor, report.minor_digits),
            decimal_amount(each.parts_cost_minor, report.minor_digits),
            each.unknown_costs,
            hours(each.clocked_seconds),
            decimal_amount(each.margin_minor, report.minor_digits),
        )
        for each in report.jobs
    ]
    return sheet(columns, rows), f"margin-{report.first}-{report.last}.csv"


def _parts_turned(actor: Actor, asked: PeriodAsked) -> PartsTurnedReport:
    return parts_turned_report(actor, period(actor, asked.first, asked.last))


def _parts_table(report: PartsTurnedReport) -> tuple[bytes, str]:
    def amount(minor: int | None) -> Decimal | None:
        return None if minor is None else decimal_amount(minor, report.minor_digits)

    columns = ("number", "description", "fitted", "cost", "price")
    rows = [
        (each.number, each.description, each.fitted, amount(each.cost_minor), amount(each.price_minor))
        for each in report.parts
    ]
    return sheet(columns, rows), f"parts-{report.first}-{report.last}.csv"


REPORTS = (
    Report(
        "takings",
        "takings_report",
        "Billed and taken in a period by month and method; amounts in minor units",
        TakingsReport,
        Permission.KEEP_BOOKS,
        _takings,
        asked=PeriodAsked,
        table=_takings_table,
    ),
    Report(
        "margin",
        "margin_report",
        "Billed, cost of parts and margin by job, kind of machine and member; amounts in minor units",
        MarginReport,
        Permission.SEE_COST,
        _margin,
        asked=PeriodAsked,
        table=_margin_table,
    ),
    Report(
        "parts-turned",
        "parts_turned_report",
        "The parts fitted in a period, the most used first; amounts in minor units",
        PartsTurnedReport,
        Permission.SEE_COST,
        _parts_turned,
        asked=PeriodAsked,
        table=_parts_table,
    ),
)
