"""Row-level security: sets the shop that a transaction may see, and writes the SQL that ties a table to shops."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connection, connections, transaction
from django.db.migrations.operations.base import Operation, OperationCategory

SHOP_SEEN = "(SELECT nullif(current_setting('app.shop_id', true), '')::uuid)"


@contextmanager
def in_shop(shop_id: UUID) -> Iterator[None]:
    """Open a transaction (or a savepoint) that sees the rows of one shop and no others.

    The setting is local to the transaction: a pooled connection cannot carry it to the next request.
    """
    with transaction.atomic():
        see_shop(shop_id)
        yield


def see_shop(shop_id: UUID, *, using: str = DEFAULT_DB_ALIAS) -> None:
    """Let the running transaction see one shop. No effect outside a transaction: no row is visible then."""
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT set_config('app.shop_id', %s, true)", [str(shop_id)])


# Django keeps unknown options with this prefix in the migration state, where these record what was done to a table.
_SECURED = "_secured"


@dataclass(frozen=True)
class Secured:
    """What the migrations have made of a table so far. `keys`: its `ShopForeignKey` fields that compare the shop."""

    synced_as: str | None = None
    append_only: bool = False
    keys: frozenset[str] = frozenset()


def secured(state: Any, app_label: str, model: str) -> Secured | None:
    """What the migrations up to this state have made of a model's table; None: it belongs to no shop yet."""
    found: Secured | None = state.models[app_label, model.lower()].options.get(_SECURED)
    return found


def _record(state: Any, app_label: str, model: str, value: Secured) -> None:
    found = state.models[app_label, model.lower()]
    found.options = {**found.options, _SECURED: value}


def keys_of(fields: Iterable[Any]) -> frozenset[str]:
    """The names of the fields that are `ShopForeignKey` keys."""
    return frozenset(field.name for field in fields if getattr(field, "within_shop", False))


class ShopTable(Operation):
    """Make a table belong to shops: security policy, keys that cannot cross shops, change feed.

    `makemigrations` adds it after the model's CreateModel, and again when one of the two options changes:
    `synced_as` is the kind of row under which the change feed records it (None: it does not);
    `append_only` takes UPDATE and DELETE from the application. `shop_column` is "id" for the shops' own table.
    """

    reversible = False
    category = OperationCategory.SQL

    def __init__(
        self,
        model: str,
        *,
        synced_as: str | None = None,
        append_only: bool = False,
        shop_column: str = "shop_id",
    ) -> None:
        self.model = model
        self.synced_as = synced_as
        self.append_only = append_only
        self.shop_column = shop_column

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Record what the table is, for `makemigrations` to compare; the fields do not change."""
        fields = state.models[app_label, self.model.lower()].fields
        keys = frozenset(name for name, field in fields.items() if getattr(field, "within_shop", False))
        _record(state, app_label, self.model, Secured(self.synced_as, self.append_only, keys))

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(app_label, self.model)
        for statement in self.statements(model, secured(from_state, app_label, self.model)):
            schema_editor.execute(statement, params=None)

    def describe(self) -> str:
        return f"Make {self.model} belong to its shop"

    @property
    def migration_name_fragment(self) -> str:
        return f"{self.model.lower()}_of_a_shop"

    def statements(self, model: Any, before: Secured | None = None) -> list[str]:
        """The SQL statements, in order, from the table's state `before` (None: a new table) to this one.

        Table and column names come from the models, never from outside.
        """
        table, column = model._meta.db_table, self.shop_column
        columns = {field.column for field in model._meta.concrete_fields}
        sql = []
        if before is None:
            sql += [
                f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY",
                f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY",
                (
                    f"CREATE POLICY {table}_of_one_shop ON {table}"
                    f" USING ({column} = {SHOP_SEEN}) WITH CHECK ({column} = {SHOP_SEEN})"
                ),
            ]
            if {"id", "shop_id"} <= columns:
                sql.append(f"ALTER TABLE {table} ADD CONSTRAINT {table}_id_within_shop UNIQUE (shop_id, id)")
        was = before or Secured()
        missing = keys_of(model._meta.concrete_fields) - was.keys
        sql += [_key_within_shop(table, field) for field in model._meta.concrete_fields if field.name in missing]
        if before is None and "changed_at" in columns:
            sql.append(
                f"CREATE TRIGGER touch BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION touch_changed_at()"
            )
        if self.synced_as != was.synced_as:
            sql += self._feed(table, was.synced_as, has_rows=before is not None)
        if self.append_only and not was.append_only:
            sql.append(revoke(table, "UPDATE, DELETE"))
        if was.append_only and not self.append_only:
            sql.append(grant(table, "UPDATE, DELETE"))
        return sql

    def _feed(self, table: str, before: str | None, *, has_rows: bool) -> list[str]:
        """Record changes under the new kind. Devices drop the rows of the old kind and get those that exist already."""
        column, function = self.shop_column, "feed_note_shop" if self.shop_column == "id" else "feed_note"
        sql = []
        if before:
            sql += [
                f"DROP TRIGGER feed ON {table}",
                f"SELECT feed_write({column}, '{before}', id, true) FROM {table}",
            ]
        if self.synced_as:
            sql.append(
                f"CREATE TRIGGER feed AFTER INSERT OR UPDATE OR DELETE ON {table}"
                f" FOR EACH ROW EXECUTE FUNCTION {function}('{self.synced_as}')"
            )
            if has_rows:
                sql.append(f"SELECT feed_write({column}, '{self.synced_as}', id, false) FROM {table}")
        return sql


class ShopKey(Operation):
    """Make a `ShopForeignKey` key that came to a table later compare the shop too.

    `makemigrations` adds it after the AddField, and after a RenameField, with the name that the field `was`.
    """

    reversible = False
    category = OperationCategory.SQL

    def __init__(self, model: str, field: str, *, was: str | None = None) -> None:
        self.model = model
        self.field = field
        self.was = was

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Record that the key compares the shop, for `makemigrations`; the fields do not change."""
        before = secured(state, app_label, self.model)
        if before is not None:
            keys = frozenset(name for name in before.keys if name != self.was) | {self.field}
            _record(state, app_label, self.model, replace(before, keys=keys))

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(app_label, self.model)
        table, field = model._meta.db_table, model._meta.get_field(self.field)
        if self.was is None:
            schema_editor.execute(_key_within_shop(table, field), params=None)
        else:
            # The constraint has followed its column; only its name is the old one.
            old, new = (_key_name(table, field.db_column or f"{name}_id") for name in (self.was, self.field))
            if old != new:
                schema_editor.execute(f"ALTER TABLE {table} RENAME CONSTRAINT {old} TO {new}", params=None)

    def describe(self) -> str:
        return f"Keep {self.model}.{self.field} within its shop"

    @property
    def migration_name_fragment(self) -> str:
        return f"{self.model.lower()}_{self.field}_within_shop"


def _key_name(table: str, column: str) -> str:
    return f"{table}_{column}_same_shop"


def _key_within_shop(table: str, field: Any) -> str:
    return (
        f"ALTER TABLE {table} ADD CONSTRAINT {_key_name(table, field.column)} FOREIGN KEY (shop_id, {field.column})"
        f" REFERENCES {field.related_model._meta.db_table} (shop_id, id)"
    )


def revoke(table: str, rights: str) -> str:
    """Revoke rights on a table from every role that is neither its owner nor a superuser."""
    return _for_each_role(table, f"REVOKE {rights} ON {table} FROM %I")


def grant(table: str, rights: str) -> str:
    """Grant rights on a table to every role that has some on it already."""
    return _for_each_role(table, f"GRANT {rights} ON {table} TO %I")


def _for_each_role(table: str, statement: str) -> str:
    return (
        f"DO $$ DECLARE r name; BEGIN FOR r IN SELECT DISTINCT grantee FROM information_schema.role_table_grants"
        f" WHERE table_name = '{table}' AND grantee <> current_user AND grantee <> 'PUBLIC'"
        f" LOOP EXECUTE format('{statement}', r); END LOOP; END $$"
    )


@contextmanager
def in_shop_snapshot(shop_id: UUID) -> Iterator[None]:
    """Read one shop in one snapshot: commits made meanwhile are not seen."""
    with transaction.atomic(durable=True):
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        see_shop(shop_id)
        yield
