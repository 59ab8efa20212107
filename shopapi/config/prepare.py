"""Bring the database up to date, and say whether it holds a shop.

Run by `manage.py up` and by the one-shot service of docker-compose.yml, before web and worker start.
"""

import os
import sys

import django
from django.apps import apps
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor
from django.utils.module_loading import import_string


def main() -> None:
    """Exit with EX_CONFIG, without a traceback, where settings are wrong."""
    try:
        django.setup()
    except ImproperlyConfigured as error:
        print(error, file=sys.stderr)  # noqa: T201
        sys.exit(os.EX_CONFIG)
    # A wrong declaration of a resource stops the start here, before anything is changed.
    import_string("shopapi.core.resources.all_resources")()
    try:
        import_string("shopapi.config.versions.refuse_newer_database")()
    except import_string("shopapi.config.versions.NewerDatabase") as error:
        print(error, file=sys.stderr)  # noqa: T201
        sys.exit(os.EX_CONFIG)
    refuse_unlimited_role()
    executor = MigrationExecutor(connections["owner"])
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", database="owner", interactive=False)
    # Runs the commands that an earlier build could not. A failure here does not keep the server from starting.
    try:
        call_command("retry_held", quiet=True)
    except CommandError as error:
        print(error)  # noqa: T201
    if not apps.get_model("accounts", "Shop").objects.using("owner").exists():
        print("There is no shop yet.")  # noqa: T201


def refuse_unlimited_role() -> None:
    """Exit where the application's statements have no time limit: behind PgBouncer its role must have it."""
    with connections["default"].cursor() as cursor:
        cursor.execute("SHOW lock_timeout")
        (limit,) = cursor.fetchone()
    if limit == "0":
        again = "run shopapi/launch/roles.sql again, as PostgreSQL's superuser"
        print(f"The role of DATABASE_URL has no lock_timeout: {again}.", file=sys.stderr)  # noqa: T201
        sys.exit(os.EX_CONFIG)


if __name__ == "__main__":
    main()
