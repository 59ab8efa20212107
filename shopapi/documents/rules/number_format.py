"""Formats money, numbers, percentages, dates and times in a shop's locale.

Months are of the language of the text; separators and order follow the locale (`core.languages.locale_for`).
The phone asks its browser (`pwa/src/domain/numbers/formats.ts`); `tests/documents/test_figures.py` holds both
together over the locales named here. An unknown locale gets English figures.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from shopapi.core.languages import ENGLISH, Language
from shopapi.core.money import minor_digits, plain_amount, plain_decimal

_NO_BREAK = "\u00a0"
_NARROW = "\u202f"


@dataclass(frozen=True, slots=True)
class _Marks:
    decimal: str = "."
    group: str = ","
    minus: str = "-"
    money: str = "{minus}{symbol}{figure}"
    percent: str = "{figure}%"
    # The least number of digits before the first thousands separator; with fewer it is not written.
    before_group: int = 1
    money_group: str = ""


_BEHIND = "{minus}{figure}\u00a0{symbol}"
_SPACED = "{figure}\u00a0%"
_MARKS = {
    "cs": _Marks(",", _NO_BREAK, money=_BEHIND, percent=_SPACED),
    "da": _Marks(",", ".", money=_BEHIND, percent=_SPACED),
    "de": _Marks(",", ".", money=_BEHIND, percent=_SPACED),
    "de-AT": _Marks(",", _NO_BREAK, money="{minus}{symbol}\u00a0{figure}", percent=_SPACED, money_group="."),
    "de-CH": _Marks(group="'", money="{symbol}{minus}{figure}"),
    "en": _Marks(),
    "en-ZA": _Marks(",", _NO_BREAK),
    "es": _Marks(",", ".", money=_BEHIND, percent=_SPACED, before_group=2),
    "es-MX": _Marks(),
    "es-US": _Marks(),
    "fi": _Marks(",", _NO_BREAK, "\u2212", money=_BEHIND, percent=_SPACED),
    "fr": _Marks(",", _NARROW, money=_BEHIND, percent=_SPACED),
    "fr-CA": _Marks(",", _NO_BREAK, money=_BEHIND, percent=_SPACED),
    "it": _Marks(",", ".", money=_BEHIND, before_group=2),
    "ja": _Marks(),
    "nb": _Marks(",", _NO_BREAK, "\u2212", money=_BEHIND, percent=_SPACED),
    "nl": _Marks(",", ".", money="{symbol}\u00a0{minus}{figure}"),
    "pl": _Marks(",", _NO_BREAK, money=_BEHIND, before_group=2),
    "pt": _Marks(",", ".", money="{minus}{symbol}\u00a0{figure}"),
    "pt-PT": _Marks(",", _NO_BREAK, money=_BEHIND, before_group=2),
    "sv": _Marks(",", _NO_BREAK, "\u2212", money=_BEHIND, percent=_SPACED),
}

_SYMBOLS = {
    "AUD": "A$", "BRL": "R$", "CAD": "CA$", "EUR": "€", "GBP": "£", "JPY": "JP¥", "MXN": "MX$",
    "NZD": "NZ$", "USD": "US$",
}  # fmt: skip
"""Where a currency is a foreign one; others go by their three letters."""

_AT_HOME = {
    ("AU", "AUD"): "$", ("CA", "CAD"): "$", ("CZ", "CZK"): "Kč", ("DK", "DKK"): "kr.", ("JP", "JPY"): "¥",
    ("MX", "MXN"): "$", ("NO", "NOK"): "kr", ("NZ", "NZD"): "$", ("PL", "PLN"): "zł", ("SE", "SEK"): "kr",
    ("US", "JPY"): "¥", ("US", "USD"): "$", ("ZA", "ZAR"): "R",
}  # fmt: skip

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MONTH_OF = {
    ("AU", 6): "June", ("AU", 7): "July", ("AU", 9): "Sept", ("GB", 9): "Sept", ("IE", 9): "Sept",
    ("NZ", 9): "Sept", ("ZA", 9): "Sept",
}  # fmt: skip
_SPANISH_MONTHS = ("ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic")
_SPANISH_MONTH_OF = {("MX", 9): "sep"}
_HALVES = {"US": ("AM", "PM"), "CA": ("a.m.", "p.m."), "AU": ("am", "pm"), "NZ": ("am", "pm")}
"""Of the day, where hours are counted to twelve."""
_SPANISH_HALVES = {"US": ("a.m.", "p.m."), "MX": ("a.m.", "p.m.")}


@dataclass(frozen=True, slots=True)
class Figures:
    """Writes figures for one shop: `locale` a BCP 47 tag, `currency` ISO 4217, `zone` an IANA name.

    `language`: that of the text in which they stand.
    """

    locale: str
    currency: str
    zone: str
    language: Language = ENGLISH

    def money(self, minor: int) -> str:
        """Minor units with the currency's sign: 41250 is "$412.50"."""
        digits = minor_digits(self.currency)
        marks = self._marks
        figure = _grouped(plain_amount(abs(minor), digits), marks, marks.money_group or marks.group)
        symbol = _AT_HOME.get((self._region, self.currency)) or _SYMBOLS.get(self.currency, self.currency)
        minus = marks.minus if minor < 0 else ""
        written = marks.money.format(minus=minus, symbol=symbol, figure=figure)
        # Letters keep their distance from digits: "R 120,00", but "$120.00".
        if symbol[-1].isalpha():
            written = written.replace(symbol + figure, symbol + _NO_BREAK + figure)
        return written

    def number(self, number: Decimal) -> str:
        """Without trailing zeros: 1234.50 is "1,234.5"."""
        marks = self._marks
        minus = marks.minus if number < 0 else ""
        return minus + _grouped(plain_decimal(abs(number)), marks, marks.group)

    def percent(self, percent: Decimal) -> str:
        """6.25 is "6.25%"."""
        return self._marks.percent.format(figure=self.number(percent))

    def day(self, day: date) -> str:
        """As in "Nov 25, 2026", or "25 Nov 2026" where the day comes first; in Spanish "25 nov 2026"."""
        if self.language == "es":
            month = _SPANISH_MONTH_OF.get((self._region, day.month)) or _SPANISH_MONTHS[day.month - 1]
            return f"{day.day} {month} {day.year}"
        month = _MONTH_OF.get((self._region, day.month)) or _MONTHS[day.month - 1]
        if self._region in ("US", "CA"):
            return f"{month} {day.day}, {day.year}"
        return f"{day.day:02} {month} {day.year}" if self._region == "ZA" else f"{day.day} {month} {day.year}"

    def moment(self, at: datetime, zone: str | None = None) -> str:
        """Day, time and zone of an instant, in the shop's zone or another: "Nov 25, 2026, 2:05 PM MST"."""
        there = at.astimezone(ZoneInfo(zone or self.zone))
        return f"{self.day(there.date())}, {self._time(there)} {_zone_name(there)}"

    def time_of_day(self, at: datetime) -> str:
        """The time alone, in the shop's zone: "2:05 PM"."""
        return self._time(at.astimezone(ZoneInfo(self.zone)))

    def _time(self, there: datetime) -> str:
        spanish = self.language == "es"
        halves = (_SPANISH_HALVES if spanish else _HALVES).get(self._region)
        if halves:
            return f"{there.hour % 12 or 12}:{there.minute:02} {halves[there.hour >= 12]}"
        return f"{there.hour}:{there.minute:02}" if spanish else f"{there.hour:02}:{there.minute:02}"

    @property
    def _region(self) -> str:
        return self.locale.partition("-")[2]

    @property
    def _marks(self) -> _Marks:
        return _MARKS.get(self.locale) or _MARKS.get(self.locale.partition("-")[0]) or _MARKS["en"]


def _grouped(plain: str, marks: _Marks, group: str) -> str:
    whole, _, part = plain.partition(".")
    if len(whole) >= 3 + marks.before_group:
        whole = f"{int(whole):,}".replace(",", group)
    return f"{whole}{marks.decimal}{part}" if part else whole


def _zone_name(there: datetime) -> str:
    name = there.tzname() or ""
    # Zones without an abbreviation are named "+03": add "UTC".
    return f"UTC{name}" if name[:1] in "+-" else name
