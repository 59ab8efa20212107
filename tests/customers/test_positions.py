"""Where a site is: by the postal code of its address until somebody says it, and how sure that is."""

from uuid import UUID

import pytest

from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Site
from shopapi.customers.rules.postal_codes import postal_area, postal_code_in
from shopapi.customers.services import edit_site
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

TABLE = "68901,NE,40.588,-98.391,15\n83843,ID,46.731,-116.990,17\n"
NO_POSITION = {"lat": None, "lon": None}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.mark.parametrize(
    ("address", "found"),
    [
        ("12 Alder Row\nHastings, NE 68901", ("NE", "68901")),
        ("12 Alder Row, Hastings ne, 68901-2210, USA", ("NE", "68901")),
        ("68901 Alder Row\nMoscow, Idaho 83843", ("ID", "83843")),
        ("12 Alder Row, Wheeling, West Virginia 26003", ("WV", "26003")),
        # Five digits beside no state: a house number, or a code of elsewhere.
        ("68901 Alder Row", None),
        ("Lindenweg 4, 68901 Ulmstadt", None),
        ("12 Alder Row, Hastings", None),
        ("", None),
    ],
)
def test_a_postal_code_is_one_beside_its_state(address: str, found: tuple[str, str] | None) -> None:
    assert postal_code_in(address) == found


def test_a_code_of_another_state_is_not_believed() -> None:
    right = postal_area(TABLE, "Hastings, NE 68901")
    assert right is not None
    assert (str(right.lat), str(right.lon), right.within_m) == ("40.588", "-98.391", 15_000)
    assert postal_area(TABLE, "Hastings, ID 68901") is None
    assert postal_area(TABLE, "Hastings, NE 68999") is None


def position(crew: Crew, site_id: UUID) -> tuple[str | None, str, int | None]:
    with in_shop(crew.shop_id):
        site = Site.objects.get(id=site_id)
    return (None if site.lat is None else f"{site.lat:.3f}", site.position_source, site.position_within_m)


def a_site(crew: Crew, **more: object) -> UUID:
    customer = work.a_customer(crew.owner)
    return work.a_site(crew.owner, customer, **{**NO_POSITION, "address": "12 Alder Row\nHastings, NE 68901", **more})


def test_a_site_without_a_position_gets_the_one_of_its_postal_code_on_save(crew: Crew) -> None:
    assert position(crew, a_site(crew)) == ("40.588", "postal_code", 15_000)
    assert position(crew, a_site(crew, address="12 Alder Row")) == (None, "", None)


def test_a_position_that_somebody_gave_stays(crew: Crew) -> None:
    typed = a_site(crew, lat="40.3", lon="-98.4")
    here = a_site(crew, lat="40.3", lon="-98.4", position_source="here", position_within_m=12)
    assert position(crew, typed) == ("40.300", "", None)
    assert position(crew, here) == ("40.300", "here", 12)
    moved = {"base": {"address": "12 Alder Row\nHastings, NE 68901"}, "set": {"address": "Moscow, ID 83843"}}
    do(crew.owner, edit_site, id=here, **moved)
    assert position(crew, here) == ("40.300", "here", 12)


def test_one_by_postal_code_follows_the_address(crew: Crew) -> None:
    site = a_site(crew)
    was = "12 Alder Row\nHastings, NE 68901"
    do(crew.owner, edit_site, id=site, base={"address": was}, set={"address": "Moscow, ID 83843"})
    assert position(crew, site) == ("46.731", "postal_code", 17_000)
    do(crew.owner, edit_site, id=site, base={"address": "Moscow, ID 83843"}, set={"address": "Behind the mill"})
    assert position(crew, site) == (None, "", None)


def test_an_older_app_corrects_a_position_without_saying_whence(crew: Crew) -> None:
    site = a_site(crew)
    base, wanted = {"lat": "40.588", "lon": "-98.391"}, {"lat": "40.61", "lon": "-98.4"}
    do(crew.owner, edit_site, id=site, base=base, set=wanted)
    assert position(crew, site) == ("40.610", "", None)
    # Taken out again it is by the postal code, since there is an address.
    do(crew.owner, edit_site, id=site, base=wanted, set=NO_POSITION)
    assert position(crew, site) == ("40.588", "postal_code", 15_000)
