"""Countries: both lists are that of the published EN 16931 rules (BR-CL-14)."""

import re
from pathlib import Path

import pytest

from shopapi.core.errors import Invalid
from shopapi.core.schema import parse
from shopapi.customers.rules.countries import COUNTRIES
from shopapi.customers.rules.customer import CustomerFields
from tests.billing.published_rules import shipped

TWIN = Path(__file__).parents[2] / "pwa" / "src" / "domain" / "customers" / "countries.ts"
# Of that list, these are no assigned codes of ISO 3166-1: Kosovo, and two prefixes of numbers of value added tax.
NO_COUNTRIES = {"1A", "EL", "XI"}


def test_the_countries_are_those_of_the_published_rules() -> None:
    text = shipped("ubl-2.1/EN16931-UBL-validation.xslt").read_text(encoding="utf-8")
    lists = set(re.findall(r"' (1A AD AE AF [A-Z ]+) '", text))
    assert [set(codes.split()) - NO_COUNTRIES for codes in lists] == [COUNTRIES] * 2
    assert len(COUNTRIES) == 249


def test_the_phone_has_the_same_countries() -> None:
    literals = re.findall(r"^ +'((?:[A-Z]{2} ?)+)'", TWIN.read_text(encoding="utf-8"), re.MULTILINE)
    assert set("".join(literals).split()) == COUNTRIES


@pytest.mark.parametrize("typed", ["de", "USA", "XX", "UK", "D"])
def test_what_is_no_country_is_refused_by_field(typed: str) -> None:
    with pytest.raises(Invalid) as refused:
        parse(CustomerFields, {"name": "Orchard", "country": typed})
    (fault,) = refused.value.fields
    assert (fault.field, fault.code) == ("country", "country_unknown")
