"""The report of quoted against clocked hours."""

from datetime import date

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.labor.queries.hours import period
from shopapi.labor.rules.csv_table import hours, sheet
from shopapi.quotes.queries.progress import quoted_report
from shopapi.quotes.rules.schemas import QuotedReport


class QuotedAsked(Parameters):
    """From one day to another, both included; the current week by default."""

    first: date | None = None
    last: date | None = None


def _quoted(actor: Actor, asked: QuotedAsked) -> QuotedReport:
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
    asked=QuotedAsked,
    table=_table,
)
