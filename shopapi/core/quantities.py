"""Units of the trade and conversion between them, exact: the one table of units.

A unit is known by its key, which is also how it is stored: "lbf.ft", "mm/100", "degC". A value in a unit times `factor`
plus `offset` is in the base unit of its quantity. Base units are those of SI, except where that would not be an exact
fraction: rotation is in turns per second and angle in degrees.

Sources: inch = 25.4 mm and pound = 0.45359237 kg (exact since 1959), standard gravity 9.80665 m/s2, US gallon = 231
cubic inches, conventional inch of mercury = 3386.389 Pa, horsepower = 550 ft.lbf/s; all NIST SP 811, appendix B.
Twin: `pwa/src/domain/numbers/quantities.ts`; both run `fixtures/measures/quantities.json`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Annotated

from pydantic import AfterValidator

from shopapi.core.enums import TextEnum


class Quantity(TextEnum):
    """What a unit measures. share: parts of a whole. gravity: density against water, as a hydrometer shows it."""

    LENGTH = "length"
    TORQUE = "torque"
    FORCE = "force"
    PRESSURE = "pressure"
    VOLTAGE = "voltage"
    CURRENT = "current"
    RESISTANCE = "resistance"
    TEMPERATURE = "temperature"
    ROTATION = "rotation"
    VOLUME = "volume"
    MASS = "mass"
    TIME = "time"
    SHARE = "share"
    ANGLE = "angle"
    GRAVITY = "gravity"
    SPEED = "speed"
    POWER = "power"


@dataclass(frozen=True)
class Unit:
    """`symbol` is how it is printed; a value times `factor` plus `offset` is in the base unit of the quantity."""

    symbol: str
    quantity: Quantity
    factor: Fraction
    offset: Fraction = Fraction(0)


class UnlikeUnits(ValueError):
    """The units measure different quantities."""


_INCH = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_POUND_FORCE = _POUND * Fraction("9.80665")
_GALLON = 231 * _INCH**3
_FAHRENHEIT = Fraction(5, 9)
_ONE, _THOUSAND, _THOUSANDTH = Fraction(1), Fraction(1000), Fraction(1, 1000)

_BY_QUANTITY: Mapping[Quantity, Mapping[str, tuple[str, Fraction]]] = {
    Quantity.LENGTH: {
        "mm": ("mm", _THOUSANDTH),
        "mm/100": ("mm/100", Fraction(1, 100_000)),
        "cm": ("cm", Fraction(1, 100)),
        "m": ("m", _ONE),
        "km": ("km", _THOUSAND),
        "in": ("in", _INCH),
        "thou": ("thou", _INCH / 1000),
        "ft": ("ft", 12 * _INCH),
        "mi": ("mi", 63_360 * _INCH),
    },
    Quantity.TORQUE: {
        "N.m": ("N·m", _ONE),
        "lbf.ft": ("lbf·ft", _POUND_FORCE * 12 * _INCH),
        "lbf.in": ("lbf·in", _POUND_FORCE * _INCH),
    },
    Quantity.FORCE: {"N": ("N", _ONE), "kN": ("kN", _THOUSAND), "lbf": ("lbf", _POUND_FORCE)},
    Quantity.PRESSURE: {
        "kPa": ("kPa", _THOUSAND),
        "MPa": ("MPa", _THOUSAND * 1000),
        "bar": ("bar", _THOUSAND * 100),
        "psi": ("psi", _POUND_FORCE / _INCH**2),
        "inHg": ("inHg", Fraction("3386.389")),
    },
    Quantity.VOLTAGE: {"V": ("V", _ONE), "mV": ("mV", _THOUSANDTH)},
    Quantity.CURRENT: {"A": ("A", _ONE), "mA": ("mA", _THOUSANDTH)},
    Quantity.RESISTANCE: {"ohm": ("Ω", _ONE), "kohm": ("kΩ", _THOUSAND)},
    Quantity.TEMPERATURE: {"degC": ("°C", _ONE), "degF": ("°F", _FAHRENHEIT)},
    Quantity.ROTATION: {"rpm": ("rpm", Fraction(1, 60))},
    Quantity.VOLUME: {
        "mL": ("mL", Fraction(1, 1_000_000)),
        "L": ("L", _THOUSANDTH),
        "fl oz": ("fl oz", _GALLON / 128),
        "qt": ("qt", _GALLON / 4),
        "gal": ("gal", _GALLON),
    },
    Quantity.MASS: {"g": ("g", _THOUSANDTH), "kg": ("kg", _ONE), "oz": ("oz", _POUND / 16), "lb": ("lb", _POUND)},
    Quantity.TIME: {"s": ("s", _ONE), "min": ("min", Fraction(60)), "h": ("h", Fraction(3600))},
    Quantity.SHARE: {"%": ("%", Fraction(1, 100))},
    Quantity.ANGLE: {"deg": ("°", _ONE)},
    Quantity.GRAVITY: {"SG": ("SG", _ONE)},
    Quantity.SPEED: {
        "m/s": ("m/s", _ONE),
        "km/h": ("km/h", Fraction(5, 18)),
        "ft/min": ("ft/min", 12 * _INCH / 60),
        "mph": ("mph", 63_360 * _INCH / 3600),
    },
    Quantity.POWER: {"W": ("W", _ONE), "kW": ("kW", _THOUSAND), "hp": ("hp", 550 * 12 * _INCH * _POUND_FORCE)},
}
_OFFSETS: Mapping[str, Fraction] = {
    "degC": Fraction("273.15"),
    "degF": Fraction("459.67") * _FAHRENHEIT,
}

UNITS: Mapping[str, Unit] = {
    key: Unit(symbol, quantity, factor, _OFFSETS.get(key, Fraction(0)))
    for quantity, units in _BY_QUANTITY.items()
    for key, (symbol, factor) in units.items()
}


def _known(key: str) -> str:
    if key not in UNITS:
        raise ValueError("unit_unknown")
    return key


UnitKey = Annotated[str, AfterValidator(_known)]
"""A key of `UNITS`, as a field of a row or an argument."""


def units_of(quantity: Quantity) -> tuple[str, ...]:
    """The keys of the units of a quantity, in the order in which they are offered."""
    return tuple(key for key, unit in UNITS.items() if unit.quantity == quantity)


def to_si(value: Decimal | Fraction, unit: str) -> Fraction:
    """A value in the base unit of its quantity. Raises KeyError for an unknown unit.

    >>> to_si(Decimal("25.4"), "mm"), to_si(Decimal("32"), "degF")
    (Fraction(127, 5000), Fraction(5463, 20))
    """
    return Fraction(value) * UNITS[unit].factor + UNITS[unit].offset


def span_to_si(value: Decimal | Fraction, unit: str) -> Fraction:
    """A difference (a tolerance, an uncertainty) in the base unit: a span of 9 °F is 5 °C, whatever zero is.

    >>> span_to_si(Decimal(9), "degF")
    Fraction(5, 1)
    """
    return Fraction(value) * UNITS[unit].factor


def convert(value: Decimal | Fraction, unit: str, to: str) -> Fraction:
    """A value in another unit of the same quantity, exact.

    Raises UnlikeUnits where the quantities differ, KeyError for an unknown unit.

    >>> convert(Decimal(212), "degF", "degC"), convert(Decimal(1), "gal", "mL")
    (Fraction(100, 1), Fraction(473176473, 125000))
    """
    if UNITS[unit].quantity != UNITS[to].quantity:
        raise UnlikeUnits(unit, to)
    return (to_si(value, unit) - UNITS[to].offset) / UNITS[to].factor


def as_shown(value: Fraction, digits: int = 4) -> str:
    """A figure to `digits` digits, as plain decimal text without zeros at its end.

    Digits before the point are never cut; at most 8 decimal places; a half is rounded away from zero.

    >>> as_shown(Fraction(339, 10)), as_shown(Fraction(2, 3)), as_shown(Fraction("0.012345")), as_shown(Fraction(12345))
    ('33.9', '0.6667', '0.01235', '12345')
    """
    size, places = abs(value), 8
    while places > 0 and size * 10**places >= 10**digits:
        places -= 1
    units = floor(size * 10**places + Fraction(1, 2))
    text = f"{units:0{places + 1}d}"
    whole, part = text[: len(text) - places], text[len(text) - places :].rstrip("0")
    return ("-" if value < 0 and units else "") + whole + (f".{part}" if part else "")
