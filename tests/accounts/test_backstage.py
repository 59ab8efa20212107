"""The back room: owners enter, see the rows of their own shop, and change nothing past the services."""

import pytest
from django.contrib import admin
from django.contrib.admin.sites import site

from shopapi.core.backstage import Table
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.factories import work
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew

TABLES = sorted(model._meta.label_lower.replace(".", "/") for model in site._registry)


@pytest.fixture
def crews(committed_db: None) -> tuple[Crew, Crew]:
    ours, theirs = open_crew(), open_crew("Other Yard")
    for crew, name in ((ours, "Winnie Stroud"), (theirs, "Tobias Quill")):
        customer = work.a_customer(crew.owner, name=name)
        job = work.a_job(crew.owner, customer_id=customer, machine_id=work.a_machine(crew.owner, customer))
        work.a_decision(crew.owner, work.an_offer(crew.owner, job))
    return ours, theirs


def test_owners_alone_enter(crews: tuple[Crew, Crew]) -> None:
    ours, _ = crews
    for actor, status in ((ours.owner, 200), (ours.office, 302), (ours.mechanic, 302), (None, 302)):
        client = Browser(actor).client
        for path in ("/admin/", "/admin/customers/customer/", "/admin/core/auditevent/"):
            answer = client.get(path)
            assert answer.status_code == status, (path, actor)
            if status == 302:
                assert answer["Location"].startswith("/admin/login/")


def test_no_password_is_asked_for_at_the_back_door(crews: tuple[Crew, Crew]) -> None:
    answer = Browser().client.post("/admin/login/", {"username": "owner@bench.example", "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert not answer.cookies


@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_shown_and_takes_nothing(crews: tuple[Crew, Crew], table: str) -> None:
    client = Browser(crews[0].owner).client
    listing = client.get(f"/admin/{table}/")
    assert listing.status_code == 200
    assert client.get(f"/admin/{table}/?q=x").status_code == 200
    assert client.get(f"/admin/{table}/add/").status_code == 403


def test_only_rows_of_ones_own_shop_are_there(crews: tuple[Crew, Crew]) -> None:
    ours, theirs = crews
    client = Browser(ours.owner).client
    page = client.get("/admin/customers/customer/").content.decode()
    assert "Winnie Stroud" in page
    assert "Tobias Quill" not in page
    with in_shop(ours.shop_id):
        own = Customer.objects.get()
    with in_shop(theirs.shop_id):
        foreign = Customer.objects.get()
    assert client.get(f"/admin/customers/customer/{own.id}/change/").status_code == 200
    assert client.get(f"/admin/customers/customer/{foreign.id}/change/").status_code == 302
    for customer in (own, foreign):
        for act in ("change", "delete"):
            answer = client.post(f"/admin/customers/customer/{customer.id}/{act}/", {"name": "X", "post": "yes"})
            assert answer.status_code in {302, 403}
    for crew, name in ((ours, "Winnie Stroud"), (theirs, "Tobias Quill")):
        with in_shop(crew.shop_id):
            assert Customer.objects.get().name == name


def test_every_table_is_one_to_look_at() -> None:
    assert len(TABLES) > 15
    assert all(isinstance(table, Table) for table in site._registry.values())
    assert isinstance(site, admin.AdminSite)
    assert "accounts/user" not in TABLES
