"""Whether an hour meter's reading fits what was read before. Twin: `pwa/src/domain/dispatch/runs.ts`."""

from datetime import date
from decimal import Decimal

from shopapi.dispatch.rules.schemas.hand_over import MeterDoubt

HOURS_A_DAY = 24


def check_meter_reading(hours: Decimal, on: date, before: Decimal | None, before_on: date | None) -> MeterDoubt:
    """What is odd about a reading beside the last one of the same meter: it runs backwards, or faster than the clock.

    A day more is given, since readings have dates and no hours.

    >>> check_meter_reading(Decimal("50.5"), date(2026, 5, 2), Decimal("1"), date(2026, 5, 1))
    'too_fast'
    """
    if before is None or before_on is None:
        return ""
    if hours < before:
        return "lower"
    days = max(0, (on - before_on).days) + 1
    return "too_fast" if hours - before > days * HOURS_A_DAY else ""
