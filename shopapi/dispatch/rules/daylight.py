"""When the sun rises and sets: NOAA's solar equations for a day, to about a minute between the polar circles.

https://gml.noaa.gov/grad/solcalc/solareqns.PDF (formulas from memory of that sheet).
"""

from datetime import UTC, date, datetime, time, timedelta
from math import acos, cos, degrees, pi, radians, sin, tan

# The sun's upper edge at the horizon, with refraction.
ZENITH = radians(90.833)


def daylight(day: date, latitude: float, longitude: float) -> tuple[datetime, datetime] | None:
    """Sunrise and sunset (UTC) of a day of that longitude; None where the sun does not rise or does not set."""
    year = 366 if day.year % 4 == 0 and (day.year % 100 != 0 or day.year % 400 == 0) else 365
    turn = 2 * pi / year * (day.timetuple().tm_yday - 1)
    minutes = 229.18 * (
        0.000075 + 0.001868 * cos(turn) - 0.032077 * sin(turn) - 0.014615 * cos(2 * turn) - 0.040849 * sin(2 * turn)
    )
    tilt = (
        0.006918
        - 0.399912 * cos(turn)
        + 0.070257 * sin(turn)
        - 0.006758 * cos(2 * turn)
        + 0.000907 * sin(2 * turn)
        - 0.002697 * cos(3 * turn)
        + 0.00148 * sin(3 * turn)
    )
    lat = radians(latitude)
    reach = cos(ZENITH) / (cos(lat) * cos(tilt)) - tan(lat) * tan(tilt)
    if not -1 <= reach <= 1:
        return None
    half = 4 * degrees(acos(reach))
    noon = 720 - 4 * longitude - minutes
    midnight = datetime.combine(day, time(), UTC)
    return midnight + timedelta(minutes=noon - half), midnight + timedelta(minutes=noon + half)
