"""Sunrise and sunset at a place, by the library `astral` (NOAA's solar equations, refraction included).

Within a minute of published values up to 60 degrees of latitude, for a level horizon.
"""

from datetime import UTC, date, datetime, time, timedelta
from enum import Enum

from astral import Observer, SunDirection
from astral.sun import SUN_APPARENT_RADIUS, elevation, time_of_transit

# Degrees: the upper edge of the sun is on the horizon; the library adds refraction.
ZENITH = 90 + SUN_APPARENT_RADIUS
QUARTER_DAY, WHOLE_DAY = timedelta(hours=6), timedelta(days=1)


class PolarSun(Enum):
    """A day without sunrise or sunset: the sun stays up, or stays down."""

    STAYS_UP = "stays_up"
    STAYS_DOWN = "stays_down"


def daylight(day: date, latitude: float, longitude: float) -> tuple[datetime, datetime] | PolarSun:
    """Sunrise and sunset (UTC) of a day; degrees, north and east positive.

    They are those around the noon of the place's mean solar time, so the answer does not depend on a time zone.
    """
    observer = Observer(latitude, longitude)
    noon = datetime.combine(day, time(12), UTC) - timedelta(minutes=4 * longitude)
    try:
        rises = _nearest(observer, day, SunDirection.RISING, noon - QUARTER_DAY)
        sets = _nearest(observer, day, SunDirection.SETTING, noon + QUARTER_DAY)
    except ValueError:
        # The equation has no solution.
        return PolarSun.STAYS_UP if elevation(observer, noon) > 0 else PolarSun.STAYS_DOWN
    return rises, sets


def _nearest(observer: Observer, day: date, direction: SunDirection, aim: datetime) -> datetime:
    """The sunrise or sunset next to a moment: the library counts days in UTC, which may be the day before or after."""
    days = (day - WHOLE_DAY, day, day + WHOLE_DAY)
    found = min((time_of_transit(observer, each, ZENITH, direction) for each in days), key=lambda at: abs(at - aim))
    # The library misses an event that moves past midnight UTC; the one of the day before or after is used then.
    return found - WHOLE_DAY * round((found - aim) / WHOLE_DAY)
