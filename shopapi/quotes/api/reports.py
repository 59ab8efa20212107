"""Reports of quotes: quoted against clocked hours, and what became of them."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.money import decimal_amount
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.labor.queries.hours import PeriodAsked, period
from shopapi.labor.rules.csv_table import hours, sheet
from shopapi.quotes.queries.need_by import parts_to_order
from shopapi.quotes.queries.outcomes import quote_outcomes
from shopapi.quotes.queries.progress import quoted_report
from shopapi.quotes.rules.outcomes import QuoteOutcomesReport
from shopapi.quotes.rules.parts_to_order import PartsToOrder
from shopapi.quotes.rules.schemas import QuotedReport


def _quoted(actor: Actor, asked: PeriodAsked) -> QuotedReport:
    return quoted_report(actor, period(actor, asked.first, asked.last))


def _table(report: QuotedReport) -> tuple[bytes, str]:
    columns = ("job", "machine", "stage", "line", "work", "accepted", "quoted hours", "clocked hours")
    rows = []
    for job in report.jobs:
        head = (job.number, job.machine, job.stage)
        rows += [
            (
                *head,
                line.words,
                line.operation,
                "yes" if line.accepted else "open",
                None if line.quoted_seconds is None else hours(line.quoted_seconds),
                hours(line.clocked_seconds),
            )
            for line in job.lines
        ]
        if job.elsewhere_seconds:
            rows.append((*head, "for no line", "", "", None, hours(job.elsewhere_seconds)))
    return sheet(columns, rows), f"quoted-{report.first}-{report.last}.csv"


quoted = Report(
    "quoted",
    "quoted_report",
    "Quoted against clocked by job and line, with efficiency and recovery",
    QuotedReport,
    Permission.READ,
    _quoted,
    asked=PeriodAsked,
    table=_table,
)


def _outcomes(actor: Actor, asked: PeriodAsked) -> QuoteOutcomesReport:
    return quote_outcomes(actor, period(actor, asked.first, asked.last))


def _outcomes_table(report: QuoteOutcomesReport) -> tuple[bytes, str]:
    columns = ("quote", "kind", "offered", "decided", "accepted", "declined", "unanswered")
    rows = [
        (
            each.number,
            each.kind,
            each.offered_at.isoformat(),
            each.decided_at.isoformat() if each.decided_at else None,
            *(
                decimal_amount(minor, report.minor_digits)
                for minor in (each.accepted_minor, each.declined_minor, each.unanswered_minor)
            ),
        )
        for each in report.quotes
    ]
    return sheet(columns, rows), f"quote-outcomes-{report.first}-{report.last}.csv"


outcomes = Report(
    "quote-outcomes",
    "quote_outcomes_report",
    "What became of the quotes offered in a period, by kind, urgency and amount; amounts in minor units",
    QuoteOutcomesReport,
    Permission.READ,
    _outcomes,
    asked=PeriodAsked,
    table=_outcomes_table,
)


def _to_order(actor: Actor, _: Parameters) -> PartsToOrder:
    return parts_to_order(actor)


to_order = Report(
    "parts-to-order",
    "parts_to_order_report",
    "Parts that promised jobs want and nobody ordered, with the last day to order each, the most urgent first",
    PartsToOrder,
    Permission.READ,
    _to_order,
)
