"""Plausibility of an hour meter reading. Twin: `pwa/src/domain/dispatch/runs.ts`."""

from datetime import date
from decimal import Decimal

from shopapi.dispatch.rules.schemas.hand_over import MeterAnomaly

HOURS_A_DAY = 24


def check_meter_reading(hours: Decimal, on: date, before: Decimal | None, before_on: date | None) -> MeterAnomaly:
    """The anomaly of a reading against the last one of the same meter: it decreased, or rose faster than time passed.

    One extra day is allowed, since readings have dates without times.

    >>> check_meter_reading(Decimal("50.5"), date(2026, 5, 2), Decimal("1"), date(2026, 5, 1))
    'too_fast'
    """
    if before is None or before_on is None:
        return ""
    if hours < before:
        return "lower"
    days = max(0, (on - before_on).days) + 1
    return "too_fast" if hours - before > days * HOURS_A_DAY else ""
