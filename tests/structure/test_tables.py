"""Every table has a shop, row-level security, keys within the shop, and triggers of the change feed."""

from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction

from shopapi.accounts.models import ShopOwned
from shopapi.config.autodetector import kinds

# Read before the shop is known; they hold no data of a shop.
SHOPLESS = {"accounts_user", "accounts_signintry", "accounts_mailedlink"} | {
    "accounts_passkey",
    "accounts_authenticatorapp",
    "accounts_recoverycode",
    "accounts_browsersession",
}
# The shops' own table: its shop column is its id.
OF_ITS_OWN_ID = {"accounts_shop"}
# Written by triggers; the application only reads them, and locks the head of its shop.
WRITTEN_BY_TRIGGERS = {
    "core_audithead": {"SELECT"},
    "core_syncchange": {"SELECT"},
    "core_synccommit": {"SELECT"},
    "core_synchead": {"SELECT", "UPDATE"},
}

ours = [model for model in apps.get_models() if model.__module__.startswith("shopapi.")]
with_shop = [model._meta.db_table for model in ours if model._meta.db_table not in SHOPLESS]


def ask(sql: str, *values: Any) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        rows: list[tuple[Any, ...]] = cursor.fetchall()
        return rows


def test_every_row_has_a_shop() -> None:
    assert len(ours) > 20
    for model in ours:
        table = model._meta.db_table
        # `core` is below `accounts` and has no Shop: a plain column.
        bare = table.startswith("core_") and not model._meta.get_field("shop_id").null
        assert issubclass(model, ShopOwned) or bare or table in SHOPLESS | OF_ITS_OWN_ID, table


def test_every_table_has_row_level_security(db: None) -> None:
    secured = ask(
        "SELECT c.relname, c.relrowsecurity AND c.relforcerowsecurity, array_agg(p.cmd), array_agg(p.roles::text),"
        " array_agg(p.permissive), array_agg(substring(p.qual from '[a-z_]+')), bool_and(p.qual LIKE '%%app.shop_id%%'"
        " AND p.with_check = p.qual) FROM pg_class c JOIN pg_policies p ON p.tablename = c.relname"
        " WHERE c.relkind = 'r' GROUP BY 1, 2 ORDER BY 1"
    )
    assert secured == [
        (table, True, ["ALL"], ["{public}"], ["PERMISSIVE"], ["id" if table in OF_ITS_OWN_ID else "shop_id"], True)
        for table in sorted(with_shop)
    ]
    column = ask("SELECT table_name FROM information_schema.columns WHERE column_name = 'shop_id'")
    assert {table for (table,) in column if not table.startswith("pg_")} == set(with_shop) - OF_ITS_OWN_ID


def test_every_foreign_key_stays_in_the_shop(db: None) -> None:
    found = ask(
        "SELECT c.conrelid::regclass::text, c.confrelid::regclass::text,"
        " array_agg(a.attname::text ORDER BY k.at), array_agg(b.attname::text ORDER BY k.at)"
        " FROM pg_constraint c CROSS JOIN unnest(c.conkey, c.confkey) WITH ORDINALITY k(no, other, at)"
        " JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.no"
        " JOIN pg_attribute b ON b.attrelid = c.confrelid AND b.attnum = k.other"
        " WHERE c.contype = 'f' AND c.convalidated GROUP BY c.oid ORDER BY 1, 3"
    )
    within = set(with_shop) - OF_ITS_OWN_ID
    declared = [
        (model._meta.db_table, field.related_model._meta.db_table, ["shop_id", field.column], ["shop_id", "id"])
        for model in ours
        for field in model._meta.concrete_fields
        if field.related_model and field.related_model._meta.db_table in within
    ]
    assert sorted(row for row in found if row[1] in within) == sorted(declared)
    assert len(declared) > 20


def test_every_foreign_key_has_a_related_name() -> None:
    for model in ours:
        for field in model._meta.concrete_fields:
            if isinstance(field, models.ForeignKey):
                assert field.remote_field.related_name, f"{model.__name__}.{field.name}"


def triggers(name: str) -> list[tuple[Any, ...]]:
    """Table, function, argument and moments of the triggers of a name."""
    return ask(
        "SELECT t.tgrelid::regclass::text, p.proname::text, encode(t.tgargs, 'escape'), t.tgtype::int"
        " FROM pg_trigger t JOIN pg_proc p ON p.oid = t.tgfoid WHERE t.tgname = %s AND t.tgenabled = 'O' ORDER BY 1",
        name,
    )


def test_change_feed_covers_exactly_the_synced_kinds(db: None) -> None:
    # After each row's INSERT (4), DELETE (8), UPDATE (16); 1 is "for each row".
    moments = 1 | 4 | 8 | 16
    assert triggers("feed") == sorted(
        (table, "feed_note_shop" if table in OF_ITS_OWN_ID else "feed_note", f"{kind}\\000", moments)
        for model, kind in kinds().items()
        for table in [model._meta.db_table]
    )


def test_every_update_sets_changed_at(db: None) -> None:
    # Before (2) each row's UPDATE (16).
    assert triggers("touch") == sorted(
        (model._meta.db_table, "touch_changed_at", "", 1 | 2 | 16)
        for model in ours
        if "changed_at" in {field.column for field in model._meta.concrete_fields}
    )


def test_application_role_rights_match_the_tables(db: None) -> None:
    found: dict[str, set[str]] = {}
    for table, right in ask(
        "SELECT table_name, privilege_type FROM information_schema.role_table_grants WHERE grantee = current_user"
    ):
        found.setdefault(table, set()).add(right)
    expected = {
        model._meta.db_table: {"SELECT", "INSERT"}
        | (set() if getattr(model, "append_only", False) else {"UPDATE", "DELETE"})
        for model in ours
    }
    assert {table: found[table] for table in expected} == expected | WRITTEN_BY_TRIGGERS


def test_append_only_tables_cannot_be_changed(db: None) -> None:
    tables = [model._meta.db_table for model in ours if getattr(model, "append_only", False)]
    assert len(tables) > 5
    for table in (*tables, "core_syncchange", "core_synccommit"):
        for statement in ("UPDATE {} SET shop_id = shop_id", "DELETE FROM {}", "TRUNCATE {}"):
            with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
                ask(statement.format(table))


def test_application_role_cannot_truncate(db: None) -> None:
    rights = ask(
        "SELECT table_name FROM information_schema.role_table_grants"
        " WHERE grantee = current_user AND privilege_type NOT IN ('SELECT', 'INSERT', 'UPDATE', 'DELETE')"
    )
    assert rights == []
