"""Django's admin: open to owners only, limited to their shop, read-only."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from django.contrib import admin
from django.contrib.admin.sites import site
from django.test import Client
from django.urls import URLPattern, URLResolver
from django.urls.resolvers import RegexPattern

from shopapi.accounts.models import User
from shopapi.core.admin_base import ReadOnlyModelAdmin, admin_of
from shopapi.core.resources import all_resources, resource_of
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.factories import work
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew

PATHS_OF_ADMIN = site.urls[0]
TABLES = sorted(model._meta.label_lower.replace(".", "/") for model in site._registry)


@pytest.fixture
def crews(committed_db: None) -> tuple[Crew, Crew]:
    ours, theirs = open_crew(), open_crew("Other Yard")
    for crew, name in ((ours, "Winnie Stroud"), (theirs, "Tobias Quill")):
        customer = work.a_customer(crew.owner, name=name)
        job = work.a_job(crew.owner, customer_id=customer, machine_id=work.a_machine(crew.owner, customer))
        work.a_decision(crew.owner, work.an_offer(crew.owner, job))
    return ours, theirs


def test_admin_is_open_to_owners_only(crews: tuple[Crew, Crew]) -> None:
    ours, _ = crews
    for actor, status in ((ours.owner, 200), (ours.office, 302), (ours.mechanic, 302), (None, 302)):
        client = Browser(actor).client
        for path in ("/admin/", "/admin/customers/customer/", "/admin/core/auditevent/"):
            answer = client.get(path)
            assert answer.status_code == status, (path, actor)
            if status == 302:
                assert answer["Location"].startswith("/admin/login/")


def test_admin_has_no_sign_in_form(crews: tuple[Crew, Crew]) -> None:
    answer = Browser().client.post("/admin/login/", {"username": "owner@bench.example", "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert not answer.cookies


def paths_below(patterns: list[Any], before: str) -> Iterator[str]:
    """Every path of a tree of URL patterns, with a placeholder for each argument."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from paths_below(pattern.url_patterns, before + _filled(pattern))
        else:
            yield before + _filled(pattern)


def _filled(pattern: URLPattern | URLResolver) -> str:
    route = str(pattern.pattern)
    if isinstance(pattern.pattern, RegexPattern):
        return (
            "anything" if "P<url>" in route else route.replace("^(?P<app_label>", "").split("|")[0].strip("^()") + "/"
        )
    return re.sub(r"<(?:\w+:)?\w+>", "1", route)


def test_no_path_of_the_admin_accepts_a_password(crews: tuple[Crew, Crew]) -> None:
    """Every path of Django's admin, the password form included, requested by an owner and without a session."""
    paths = sorted(set(paths_below(PATHS_OF_ADMIN, "/admin/")))
    assert {"/admin/", "/admin/login/", "/admin/logout/", "/admin/password_change/", "/admin/jsi18n/"} <= set(paths)
    assert len(paths) > 5 * len(TABLES)
    before = set(User.objects.values_list("id", "password"))
    form = {
        "username": "owner@bench.example",
        "password": PASSWORD,
        "old_password": PASSWORD,
        "new_password1": "four slow mowers",
        "new_password2": "four slow mowers",
        "password1": "four slow mowers",
        "password2": "four slow mowers",
    }
    wrong = []
    for path in paths:
        owner, nobody = Browser(crews[0].owner).client, Client(raise_request_exception=False)
        for client in (owner, nobody):
            answers = (client.get(path), client.post(path, form))
            wrong += [(path, "a form") for answer in answers if b'type="password"' in answer.content]
            wrong += [(path, "an error") for answer in answers if answer.status_code >= 500]
        # Nothing there signs the owner out, or anybody in.
        if nobody.cookies or owner.get("/admin/jsi18n/").status_code != 200:
            wrong.append((path, "a session"))
    assert wrong == []
    assert set(User.objects.values_list("id", "password")) == before


@pytest.mark.parametrize("table", TABLES)
def test_table_is_read_only(crews: tuple[Crew, Crew], table: str) -> None:
    client = Browser(crews[0].owner).client
    listing = client.get(f"/admin/{table}/")
    assert listing.status_code == 200
    assert client.get(f"/admin/{table}/?q=x").status_code == 200
    assert client.get(f"/admin/{table}/add/").status_code == 403


def test_admin_shows_only_own_shop(crews: tuple[Crew, Crew]) -> None:
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


def test_every_resource_is_in_the_admin() -> None:
    assert {resource.model for resource in all_resources()} <= set(site._registry)
    stops, links = admin_of(resource_of("stop")), admin_of(resource_of("approval_link"))
    assert stops.list_select_related == ("job", "site", "supplier", "run")
    assert stops.list_filter == ("kind", "state", "failure")
    assert links.exclude == ("token_hash",)
    shown = admin_of(replace(resource_of("site"), columns=())).list_display
    assert shown == ("created_at", "label", "address", "lat", "lon", "position_source")


def test_every_admin_page_is_read_only() -> None:
    assert len(TABLES) > 15
    assert all(isinstance(table, ReadOnlyModelAdmin) for table in site._registry.values())
    assert isinstance(site, admin.AdminSite)
    assert "accounts/user" not in TABLES
