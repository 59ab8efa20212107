"""The report of the stock."""

from pydantic import Field

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.parts.queries.stock import stock_report
from shopapi.parts.rules.stock import StockReport


class StockAsked(Parameters):
    """With `below_minimum` only the parts of which fewer are there or on order than the shop wants."""

    below_minimum: bool = Field(default=False, description="Only parts of which too few are there or on order.")


def _stock(actor: Actor, asked: StockAsked) -> StockReport:
    report = stock_report(actor)
    if not asked.below_minimum:
        return report
    return StockReport(parts=[part for part in report.parts if part.missing])


stock = Report(
    "stock",
    "stock_report",
    "What is where, what is on order for the shelf, and what is missing to the minimum of each part",
    StockReport,
    Permission.READ,
    _stock,
    asked=StockAsked,
)
