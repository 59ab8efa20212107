"""Shops are isolated by row-level security, whatever the query."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, connection, connections, transaction
from pytest_django import DjangoDbBlocker

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop, see_shop
from shopapi.customers.models import Customer
from tests.database import bypasses_policies, refuse_bypassing_role
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.structure.test_tables import OF_ITS_OWN_ID, with_shop


@pytest.fixture
def crews(db: None) -> tuple[Crew, Crew]:
    ours, theirs = open_crew(), open_crew("Other Yard")
    for crew in (ours, theirs):
        work.a_decision(crew.owner, work.an_offer(crew.owner, work.a_job(crew.owner)))
    return ours, theirs


def ask(sql: str, *values: Any) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall() if cursor.description else []


def see_nothing() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config('app.shop_id', '', true)")


def test_no_row_is_visible_without_a_shop(crews: tuple[Crew, Crew]) -> None:
    see_nothing()
    for table in with_shop:
        assert ask(f"SELECT count(*) FROM {table}") == [(0,)], table
        with connection.cursor() as cursor, cursor.copy(f"COPY {table} TO STDOUT") as copy:
            assert list(copy) == [], table


def test_only_rows_of_the_current_shop_are_visible(crews: tuple[Crew, Crew]) -> None:
    ours, theirs = crews
    filled = 0
    with in_shop(ours.shop_id):
        for table in with_shop:
            column = "id" if table in OF_ITS_OWN_ID else "shop_id"
            shops = {shop for (shop,) in ask(f"SELECT DISTINCT {column} FROM {table}")}
            assert shops <= {ours.shop_id}, table
            filled += bool(shops)
            assert ask(f"SELECT 1 FROM {table} WHERE {column} = %s", theirs.shop_id) == []
    assert filled > 15


def refuse(sql: str, *values: Any) -> str:
    with pytest.raises(DatabaseError) as refused, transaction.atomic():
        ask(sql, *values)
    return str(refused.value)


def test_row_cannot_be_written_into_another_shop(crews: tuple[Crew, Crew]) -> None:
    ours, theirs = crews
    with in_shop(ours.shop_id):
        words = refuse(
            "INSERT INTO customers_customer (id, shop_id, name, person, phone, phone_digits, email, address, notes,"
            " tax_exempt, exempt_reason, archived) VALUES (%s, %s, 'A', '', '', '', '', '', '', false, '', false)",
            uuid7(),
            theirs.shop_id,
        )
        assert "row-level security" in words
        words = refuse("UPDATE customers_customer SET shop_id = %s", theirs.shop_id)
        assert "row-level security" in words
        assert ask("UPDATE customers_customer SET name = 'X' WHERE shop_id = %s RETURNING 1", theirs.shop_id) == []
        assert ask("DELETE FROM quotes_line WHERE shop_id = %s RETURNING 1", theirs.shop_id) == []


def test_foreign_key_cannot_point_into_another_shop(crews: tuple[Crew, Crew]) -> None:
    ours, theirs = crews
    with in_shop(theirs.shop_id):
        foreign = Customer.objects.first()
        assert foreign is not None
    with in_shop(ours.shop_id):
        for make in _pointing_at(foreign):
            with pytest.raises(IntegrityError, match="_same_shop"), transaction.atomic():
                make(ours)


def _pointing_at(foreign: Customer) -> list[Callable[[Crew], object]]:
    return [
        lambda crew: ask("UPDATE machines_machine SET customer_id = %s WHERE shop_id = %s", foreign.id, crew.shop_id),
        lambda crew: ask("UPDATE jobs_job SET customer_id = %s WHERE shop_id = %s", foreign.id, crew.shop_id),
    ]


@pytest.mark.parametrize("sql", ["SET row_security = off", "SET LOCAL row_security = off"])
def test_application_role_cannot_bypass_the_policy(crews: tuple[Crew, Crew], sql: str) -> None:
    with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic():
        ask(sql)
        ask("SELECT * FROM customers_customer")


@pytest.mark.parametrize(
    "sql",
    [
        "ALTER TABLE customers_customer DISABLE ROW LEVEL SECURITY",
        "DROP POLICY customers_customer_of_one_shop ON customers_customer",
        "ALTER TABLE customers_customer NO FORCE ROW LEVEL SECURITY",
        "SET ROLE drawbar_owner",
        "ALTER ROLE drawbar_app BYPASSRLS",
        "CREATE TABLE mine (id int)",
        "SELECT feed_write(gen_random_uuid(), 'customer', gen_random_uuid(), true)",
    ],
)
def test_application_role_cannot_change_the_policy(db: None, sql: str) -> None:
    words = refuse(sql)
    assert "must be owner" in words or "permission denied" in words


def test_shop_setting_ends_with_the_transaction(committed_db: None) -> None:
    crew = open_crew()
    with in_shop(crew.shop_id):
        assert ask("SELECT count(*) FROM accounts_member") == [(3,)]
    assert ask("SELECT count(*) FROM accounts_member") == [(0,)]
    see_shop(crew.shop_id)
    assert ask("SELECT count(*) FROM accounts_member") == [(0,)], "outside a transaction nothing comes into sight"


def test_tests_refuse_a_role_that_bypasses_policies(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> None:
    with django_db_blocker.unblock():
        owner, application = connections["owner"], connections["default"]
        assert (bypasses_policies(owner), bypasses_policies(application)) == (True, False)
        refuse_bypassing_role(application)
        with pytest.raises(pytest.exit.Exception, match="bypasses row-level security"):
            refuse_bypassing_role(owner)
        connections.close_all()
