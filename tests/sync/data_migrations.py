"""Migrations run again in the test's database, on what was stored before them."""

from importlib import import_module

from django.db import connections, transaction
from django.db.migrations.loader import MigrationLoader


def run_sql_of(*names: str) -> None:
    """Run the SQL of data migrations as the owner of the tables, as `migrate` does."""
    for name in names:
        sql = import_module(f"shopapi.{name}").Migration.operations[-1].sql
        with transaction.atomic(using="owner"), connections["owner"].cursor() as cursor:
            cursor.execute(sql)


def apply_again(app: str, before: str, name: str, *back: str) -> None:
    """Apply migration `name` of an app, which follows `before`, after the statements that undo it."""
    state = MigrationLoader(None).project_state((app, before))
    module = import_module(f"shopapi.{app}.migrations.{name}")
    with connections["owner"].schema_editor() as editor:
        for statement in back:
            editor.execute(statement, params=None)
        module.Migration(name, app).apply(state, editor)
