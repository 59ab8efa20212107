"""Search: a row with exactly the typed number comes first."""

import pytest

from shopapi.core.tenancy import in_shop
from shopapi.jobs.queries import search
from tests.factories import work
from tests.factories.crews import open_crew


@pytest.mark.django_db
def test_an_exact_number_comes_first() -> None:
    crew = open_crew()
    work.a_customer(crew.owner, name="Aldous", phone="(208) 555-01342")
    exact = work.a_customer(crew.owner, name="Winnie Stroud", phone="(208) 555-0134")
    work.a_customer(crew.owner, name="Alder Farm", phone="1 208 555 0134 7")
    with in_shop(crew.shop_id):
        found = search(crew.owner, "208-555-0134")
    assert found[0].id == exact
    assert sorted(hit.title for hit in found) == ["Alder Farm", "Aldous", "Winnie Stroud"]
