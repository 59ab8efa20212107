"""Rows are found by id within the actor's shop, and locked by default."""

from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.core.actor import Actor
from shopapi.core.errors import NotFound
from shopapi.core.ids import uuid7
from shopapi.core.rendering import render
from shopapi.core.resources import Resource, all_resources
from shopapi.core.rows import row_among, row_for
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.factories import work
from tests.factories.crews import Crew, open_crew


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def found(actor: Actor, customer: UUID, *, lock: bool) -> tuple[Customer, str]:
    with in_shop(actor.shop_id), CaptureQueriesContext(connection) as asked:
        row = row_for(Customer, actor, customer, lock=lock)
    return row, asked[-1]["sql"]


@pytest.mark.parametrize("lock", [True, False])
def test_row_is_locked_by_default(crew: Crew, *, lock: bool) -> None:
    customer = work.a_customer(crew.owner)
    row, sql = found(crew.owner, customer, lock=lock)
    assert row.id == customer
    assert ("FOR UPDATE" in sql) is lock


def test_row_of_another_shop_is_not_found_and_names_the_field(crew: Crew) -> None:
    other = open_crew("Other Shop")
    customer = work.a_customer(other.owner)
    with in_shop(crew.shop_id), pytest.raises(NotFound) as refused:
        row_for(Customer, crew.owner, customer, field="customer_id")
    [error] = refused.value.fields
    assert (refused.value.code, error.field, error.code) == ("not_found", "customer_id", "not_found")


@pytest.mark.parametrize("resource", all_resources(), ids=lambda resource: resource.kind)
def test_unknown_id_has_a_sentence_for_every_resource(crew: Crew, resource: Resource) -> None:
    with in_shop(crew.shop_id), pytest.raises(NotFound) as refused:
        row_among(resource.rows(crew.owner), uuid7())
    assert render(refused.value.reason).startswith("No ")
