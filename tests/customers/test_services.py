"""Customers and sites: two who edit at once both keep what they meant, and who has work stays."""

import json
from pathlib import Path

import pytest

from shopapi.core.errors import Conflict, Invalid
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.customers.services import edit_customer, edit_site, remove_customer, remove_site
from shopapi.jobs.queries import search
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

PLACE_NAMES = json.loads((Path(__file__).parents[2] / "fixtures" / "dispatch" / "place_names.json").read_text())


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def test_edits_of_different_fields_both_hold(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    do(crew.office, edit_customer, id=customer, base={"notes": ""}, set={"notes": "Geese."})
    do(crew.mechanic, edit_customer, id=customer, base={"phone": "(555) 014-2210"}, set={"phone": "555 014 9999"})
    with in_shop(crew.shop_id):
        kept = Customer.objects.get()
        assert (kept.notes, kept.phone, kept.phone_digits) == ("Geese.", "555 014 9999", "5550149999")
        assert not Issue.objects.exists()


def test_a_second_phone_finds_its_customer(crew: Crew) -> None:
    """An exact number comes first, whichever of the two it is; no number runs on into the other."""
    work.a_customer(crew.owner, name="Aldous", phone="555-01299")
    customer = work.a_customer(crew.owner, phone="(555) 014-2210")
    do(crew.owner, edit_customer, id=customer, base={"second_phone": ""}, set={"second_phone": "555-0129"})
    with in_shop(crew.shop_id):
        assert Customer.objects.get(id=customer).phone_digits == "5550142210 5550129"
        found = [(hit.kind, hit.title) for hit in search(crew.owner, "555 0129")]
        assert found == [("customer", "Winnie Stroud"), ("customer", "Aldous")]
        assert search(crew.owner, "2210555") == []


def test_edits_of_the_same_field_are_laid_before_people(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    do(crew.office, edit_customer, id=customer, base={"name": "Winnie Stroud"}, set={"name": "W. Stroud"})
    base, wanted = {"name": "Winnie Stroud", "notes": ""}, {"name": "Stroud Orchards", "notes": "Geese."}
    do(crew.mechanic, edit_customer, id=customer, base=base, set=wanted)
    with in_shop(crew.shop_id):
        kept, issue = Customer.objects.get(), Issue.objects.get()
        assert (kept.name, kept.notes) == ("W. Stroud", "Geese.")
        assert (issue.kind, issue.state, issue.entity_id) == ("conflict", "open", customer)
        assert (issue.theirs, issue.ours) == ({"name": "W. Stroud"}, {"name": "Stroud Orchards"})


def test_the_same_change_twice_is_one(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    for _ in range(2):
        do(crew.office, edit_customer, id=customer, base={"notes": ""}, set={"notes": "Geese."})
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.filter(event="customer edited").count() == 1
        assert not Issue.objects.exists()


def test_a_customer_with_work_stays(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer)
    with pytest.raises(Conflict) as refused:
        do(crew.owner, remove_customer, id=customer)
    assert refused.value.code == "in_use"
    do(crew.owner, remove_site, id=site)
    do(crew.owner, remove_customer, id=customer)
    with in_shop(crew.shop_id):
        assert not Customer.objects.exists()
        events = AuditEvent.objects.order_by("id").values_list("event", flat=True)
        assert list(events)[-2:] == ["site removed", "customer removed"]


def test_a_site_of_a_job_stays(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer)
    work.a_job(crew.owner, customer_id=customer, machine_id=work.a_machine(crew.owner, customer), site_id=site)
    with refuses(Conflict, "A job uses this place"):
        do(crew.owner, remove_site, id=site)


@pytest.mark.parametrize(("lat", "lon"), [("40.1", None), (None, "-98"), ("91", "0"), ("0", "181"), (40.1, -98.2)])
def test_a_position_is_two_coordinates_on_the_globe(crew: Crew, lat: object, lon: object) -> None:
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer)
    with pytest.raises(Invalid):
        work.a_site(crew.owner, customer, lat=lat, lon=lon)
    with pytest.raises(Invalid):
        do(crew.owner, edit_site, id=site, base={"lat": "40.3125", "lon": "-98.441"}, set={"lat": lat, "lon": lon})
    with pytest.raises(Invalid):
        do(crew.owner, edit_site, id=site, base={"lat": "40.3125"}, set={"lat": "41"})


def test_a_site_is_moved(crew: Crew) -> None:
    site = work.a_site(crew.owner, work.a_customer(crew.owner))
    base, wanted = {"lat": "40.3125", "lon": "-98.441"}, {"lat": "41", "lon": "-98.5"}
    do(crew.owner, edit_site, id=site, base=base, set=wanted)
    with in_shop(crew.shop_id):
        kept = Site.objects.get()
        assert (str(kept.lat), str(kept.lon)) == ("41.000000", "-98.500000")
        assert not Issue.objects.exists()


def test_a_position_of_two_people_is_never_mixed(crew: Crew) -> None:
    """Both move the site, to places on one meridian: the second clashes in its latitude alone."""
    site = work.a_site(crew.owner, work.a_customer(crew.owner))
    base = {"lat": "40.3125", "lon": "-98.441"}
    do(crew.office, edit_site, id=site, base=base, set={"lat": "41", "lon": "-98.441"})
    do(crew.mechanic, edit_site, id=site, base=base, set={"lat": "42", "lon": "-98.5"})
    with in_shop(crew.shop_id):
        kept, issue = Site.objects.get(), Issue.objects.get()
        assert (str(kept.lat), str(kept.lon)) == ("41.000000", "-98.441000")
        assert issue.ours == {"lat": "42", "lon": "-98.5"}


@pytest.mark.parametrize("vector", PLACE_NAMES, ids=lambda vector: vector["name"])
def test_a_site_without_a_label_is_called_by_what_is_known_of_it(crew: Crew, vector: dict[str, str | None]) -> None:
    customer = work.a_customer(crew.owner)
    known = {**vector}
    name = known.pop("name")
    if not name:
        with pytest.raises(Invalid) as refused:
            work.a_site(crew.owner, customer, **known)
        assert [(fault.field, fault.code) for fault in refused.value.fields] == [("address", "site_empty")]
        return
    site = work.a_site(crew.owner, customer, **known)
    with in_shop(crew.shop_id):
        assert Site.objects.get(id=site).label == name
