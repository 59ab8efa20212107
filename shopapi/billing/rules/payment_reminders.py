"""The stages in which a customer is reminded of an invoice that is late."""

from collections.abc import Sequence
from datetime import date, timedelta


def stage_reached(due_on: date, today: date, stage_days: Sequence[int]) -> int | None:
    """The last stage (from 1) whose day has come; None before the first.

    `stage_days`: how many days after the due day each stage begins, in ascending order. Of stages that were passed
    while nothing was sent only the last one is sent: nobody gets two reminders on one day.

    >>> stage_reached(date(2026, 11, 1), date(2026, 11, 20), (3, 14, 30))
    2
    """
    reached = sum(today >= due_on + timedelta(days=days) for days in stage_days)
    return reached or None
