"""The report of parts that promised jobs want and nobody ordered."""

from datetime import date
from uuid import UUID

from shopapi.core.schema import DecimalText, Schema


class PartToOrder(Schema):
    """A part with the last day on which it can be ordered for the promised day; None: nothing is known of its supplier.

    `hours_after`: of accepted work that follow it. `lead_days`: business days until it is there with the chance that
    the shop promises with. `order_today`: that day is today or over.
    """

    need_id: UUID
    job_id: UUID
    supplier_id: UUID | None
    number: str
    description: str
    promised_on: date
    hours_after: DecimalText
    lead_days: int | None
    order_by: date | None
    order_today: bool


class PartsToOrder(Schema):
    parts: list[PartToOrder]
