"""The report of what customers owe by age."""

from datetime import date

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.queries.ageing import ageing_report
from shopapi.billing.rules.ageing import BUCKETS, AgeingReport
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.money import decimal_amount, minor_digits
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.labor.rules.csv_table import sheet


class AgeingAsked(Parameters):
    """What was issued and paid through this day of the shop; today by default."""

    through: date | None = None


def _ageing(actor: Actor, asked: AgeingAsked) -> AgeingReport:
    return ageing_report(actor, asked.through or today(shop_of(actor).zone))


def _table(report: AgeingReport) -> tuple[bytes, str]:
    digits = minor_digits(report.currency)
    columns = ("customer", "oldest due", *(bucket.replace("_", " ") for bucket in BUCKETS), "open", "currency")
    rows = [
        (
            row.name,
            None if row.oldest_due_on is None else row.oldest_due_on.isoformat(),
            *(decimal_amount(getattr(row.ages, bucket), digits) for bucket in BUCKETS),
            decimal_amount(row.open_minor, digits),
            report.currency,
        )
        for row in report.rows
    ]
    return sheet(columns, rows), f"ageing-{report.through}.csv"


ageing = Report(
    "ageing",
    "ageing_report",
    "What customers owe by age: not due yet, 1 to 30 days late, 31 to 60, 61 to 90, over 90",
    AgeingReport,
    Permission.BILL,
    _ageing,
    asked=AgeingAsked,
    table=_table,
)
