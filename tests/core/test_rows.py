"""Rows are found by id within the actor's shop, and locked by default."""

from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.core.actor import Actor
from shopapi.core.errors import NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.rendering import render
from shopapi.core.resources import Resource, all_resources
from shopapi.core.rows import insert_rows, row_among, row_for
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


def test_rows_inserted_together_are_as_those_saved_alone(crew: Crew) -> None:
    said: dict[str, Any] = {"none": None, "list": [1, 2.5, 10**20, True, {}], "text": 'a "quote", a \\ and é\n'}

    def issue(number: int) -> Issue:
        return Issue(
            shop_id=crew.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=None if number else crew.shop_id,
            name="edit_customer",
            entity_kind="customer",
            theirs=said,
            ours={"number": number},
            words="It's 50 % of %s \\ 'this'",
        )

    together, alone = [issue(0), issue(1)], [issue(0), issue(1)]
    with in_shop(crew.shop_id), CaptureQueriesContext(connection) as asked:
        insert_rows(together)
        insert_rows([])
    with in_shop(crew.shop_id):
        for one in alone:
            one.save(force_insert=True)
        rows = {row["id"]: row for row in Issue.objects.values()}
    # The shop is set, then there is one statement for both.
    assert sum("INSERT" in one["sql"] for one in asked.captured_queries) == 1
    moments = {"id", "created_at", "changed_at"}
    for one, other in zip(together, alone, strict=True):
        row, same = ({k: v for k, v in rows[each.id].items() if k not in moments} for each in (one, other))
        assert row == same
        assert rows[one.id]["created_at"] is not None
    assert rows[together[0].id]["theirs"] == said
