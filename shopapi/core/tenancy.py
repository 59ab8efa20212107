"""Row-level security: which shop a transaction may see, and the SQL that makes a table belong to one."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.db.migrations.operations.base import Operation

SHOP_SEEN = "(SELECT nullif(current_setting('app.shop_id', true), '')::uuid)"


@contextmanager
def in_shop(shop_id: UUID) -> Iterator[None]:
    """Open a transaction (or a savepoint) that sees the rows of one shop and no others.

    The setting is local to the transaction: a pooled connection cannot carry it to the next request.
    """
    with transaction.atomic():
        see_shop(shop_id)
        yield


def see_shop(shop_id: UUID) -> None:
    """Let the running transaction see one shop; outside a transaction this has no effect and no row is seen."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config('app.shop_id', %s, true)", [str(shop_id)])


class ShopTable(Operation):
    """Make a table belong to shops: security policy, keys that cannot cross shops, change feed.

    `synced_as` is the kind of row under which every device sees it (None: devices do not).
    `append_only` takes UPDATE and DELETE from the application. `shop_column` is "id" for the shops' own table.
    """

    reversible = False

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
        """The state of the models does not change: this is about the database alone."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(app_label, self.model)
        for statement in self.statements(model):
            schema_editor.execute(statement, params=None)

    def describe(self) -> str:
        return f"Make {self.model} belong to its shop"

    def statements(self, model: Any) -> list[str]:
        """The SQL, in order. Table and column names come from the models, never from outside."""
        table, column = model._meta.db_table, self.shop_column
        sql = [
            f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY",
            f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY",
            (
                f"CREATE POLICY {table}_of_one_shop ON {table}"
                f" USING ({column} = {SHOP_SEEN}) WITH CHECK ({column} = {SHOP_SEEN})"
            ),
        ]
        fields = {field.column for field in model._meta.concrete_fields}
        if {"id", "shop_id"} <= fields:
            sql.append(f"ALTER TABLE {table} ADD CONSTRAINT {table}_id_within_shop UNIQUE (shop_id, id)")
        sql += [
            _key_within_shop(table, field)
            for field in model._meta.concrete_fields
            if field.is_relation and getattr(field, "within_shop", False)
        ]
        if "changed_at" in fields:
            sql.append(
                f"CREATE TRIGGER touch BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION touch_changed_at()"
            )
        if self.synced_as:
            function = "feed_note_shop" if column == "id" else "feed_note"
            sql.append(
                f"CREATE TRIGGER feed AFTER INSERT OR UPDATE OR DELETE ON {table}"
                f" FOR EACH ROW EXECUTE FUNCTION {function}('{self.synced_as}')"
            )
        if self.append_only:
            sql.append(revoke(table, "UPDATE, DELETE"))
        return sql


class ShopKey(Operation):
    """Make a `WithinShop` key that came to a table later compare the shop too; it follows the AddField."""

    reversible = False

    def __init__(self, model: str, field: str) -> None:
        self.model = model
        self.field = field

    def state_forwards(self, app_label: str, state: Any) -> None:
        """The state of the models does not change: this is about the database alone."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(app_label, self.model)
        schema_editor.execute(_key_within_shop(model._meta.db_table, model._meta.get_field(self.field)), params=None)

    def describe(self) -> str:
        return f"Keep {self.model}.{self.field} within its shop"


def _key_within_shop(table: str, field: Any) -> str:
    return (
        f"ALTER TABLE {table} ADD CONSTRAINT {table}_{field.column}_same_shop FOREIGN KEY (shop_id, {field.column})"
        f" REFERENCES {field.related_model._meta.db_table} (shop_id, id)"
    )


def revoke(table: str, rights: str) -> str:
    """Take rights on a table from every role that is neither its owner nor a superuser."""
    return (
        f"DO $$ DECLARE r name; BEGIN FOR r IN SELECT DISTINCT grantee FROM information_schema.role_table_grants"
        f" WHERE table_name = '{table}' AND grantee <> current_user AND grantee <> 'PUBLIC'"
        f" LOOP EXECUTE format('REVOKE {rights} ON {table} FROM %I', r); END LOOP; END $$"
    )


@contextmanager
def in_shop_snapshot(shop_id: UUID) -> Iterator[None]:
    """Read one frozen moment of one shop: nothing that commits meanwhile slips between two reads."""
    with transaction.atomic(durable=True):
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        see_shop(shop_id)
        yield
