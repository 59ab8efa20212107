"""What every table has: its shop, row-level security, keys that stay inside, its place in the change feed."""

from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction

from shopapi.accounts.models import ShopOwned
from shopapi.sync.queries import KINDS

# Looked up before the shop is known; they tell nothing of a shop.
SHOPLESS = {"accounts_user", "accounts_signintry"}
# The shops' own table: its shop column is its id.
OF_ITS_OWN_ID = {"accounts_shop"}
# `core` stands below `accounts` and knows no Shop: a bare column.
BARE = {
    "core_auditevent",
    "core_counter",
    "core_issue",
    "core_outbox",
    "core_receipt",
    "core_syncchange",
    "core_synccommit",
    "core_synchead",
}
# What happened is kept as it was.
ADDED_TO_ONLY = {
    "core_auditevent",
    "dispatch_drivenleg",
    "dispatch_handover",
    "jobs_complaint",
    "machines_meterreading",
    "quotes_approval",
    "quotes_signature",
}
WRITTEN_BY_TRIGGERS_ONLY = {"core_syncchange", "core_synccommit"}
TABLES_OF_KINDS = {
    "notice_template": "notices_noticetemplate",
    "opt_out": "notices_optout",
    "follow_up": "reminders_followup",
    "time_entry": "labor_timeentry",
    "work_history": "labor_workhistory",
    "quote_line": "quotes_line",
    "approval_link": "quotes_approvallink",
    "owner_question": "quotes_ownerquestion",
    "meter_reading": "machines_meterreading",
}

ours = [model for model in apps.get_models() if model.__module__.startswith("shopapi.")]
with_shop = [model._meta.db_table for model in ours if model._meta.db_table not in SHOPLESS]


def ask(sql: str, *values: Any) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall()


def test_every_row_has_a_shop() -> None:
    assert len(ours) > 20
    for model in ours:
        table = model._meta.db_table
        assert issubclass(model, ShopOwned) or table in SHOPLESS | OF_ITS_OWN_ID | BARE, table


def test_every_table_is_behind_the_policy(db: None) -> None:
    secured = ask(
        "SELECT c.relname, c.relrowsecurity AND c.relforcerowsecurity, array_agg(p.cmd), count(*),"
        " bool_and(p.qual LIKE '%%app.shop_id%%' AND p.with_check = p.qual AND p.permissive = 'PERMISSIVE')"
        " FROM pg_class c JOIN pg_policies p ON p.tablename = c.relname WHERE c.relkind = 'r' GROUP BY 1, 2"
    )
    assert secured == [(table, True, ["ALL"], 1, True) for table, *_ in secured]
    assert {table for table, *_ in secured} == set(with_shop)
    column = ask("SELECT table_name FROM information_schema.columns WHERE column_name = 'shop_id'")
    assert {table for (table,) in column if not table.startswith("pg_")} == set(with_shop) - OF_ITS_OWN_ID


def test_every_key_between_tables_of_shops_stays_in_the_shop(db: None) -> None:
    keys = ask(
        "SELECT c.conrelid::regclass::text, c.confrelid::regclass::text, array_agg(a.attname ORDER BY k.at)"
        " FROM pg_constraint c CROSS JOIN unnest(c.conkey) WITH ORDINALITY k(no, at)"
        " JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.no"
        " WHERE c.contype = 'f' AND c.convalidated GROUP BY c.oid"
    )
    found = {(table, *columns) for table, to, columns in keys if to in with_shop and to not in OF_ITS_OWN_ID}
    declared = {
        (model._meta.db_table, "shop_id", field.column)
        for model in ours
        for field in model._meta.concrete_fields
        if field.is_relation and field.related_model._meta.db_table in set(with_shop) - OF_ITS_OWN_ID
    }
    assert found == declared
    assert len(declared) > 20


def test_every_key_says_how_it_is_read_backwards() -> None:
    for model in ours:
        for field in model._meta.concrete_fields:
            if isinstance(field, models.ForeignKey):
                assert field.remote_field.related_name, f"{model.__name__}.{field.name}"


def test_the_feed_notes_every_kind_that_devices_see(db: None) -> None:
    triggers = ask(
        "SELECT tgrelid::regclass::text, encode(tgargs, 'escape'), tgtype::int FROM pg_trigger WHERE tgname = 'feed'"
    )
    # After each row's INSERT (4), DELETE (8), UPDATE (16); 1 is "for each row".
    assert {kind for _, _, kind in triggers} == {1 | 4 | 8 | 16}
    assert {argument.removesuffix("\\000") for _, argument, _ in triggers} == set(KINDS)
    touched = {table for (table,) in ask("SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname = 'touch'")}
    assert touched >= {table for table, _, _ in triggers}


@pytest.mark.parametrize("table", sorted(ADDED_TO_ONLY | WRITTEN_BY_TRIGGERS_ONLY))
@pytest.mark.parametrize("statement", ["UPDATE {} SET shop_id = shop_id", "DELETE FROM {}", "TRUNCATE {}"])
def test_what_happened_is_kept_as_it_was(db: None, table: str, statement: str) -> None:
    with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
        ask(statement.format(table))


def test_no_table_can_be_emptied_by_the_application(db: None) -> None:
    rights = ask(
        "SELECT table_name FROM information_schema.role_table_grants"
        " WHERE grantee = current_user AND privilege_type NOT IN ('SELECT', 'INSERT', 'UPDATE', 'DELETE')"
    )
    assert rights == []
