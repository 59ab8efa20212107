"""Bring the database up to date, and say whether it holds a shop.

Run by `manage.py up` and by the one-shot service of docker-compose.yml, before web and worker start.
"""

import django
from django.apps import apps
from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor


def main() -> None:
    django.setup()
    executor = MigrationExecutor(connections["owner"])
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", database="owner", interactive=False)
    if not apps.get_model("accounts", "Shop").objects.using("owner").exists():
        print("There is no shop yet.")  # noqa: T201


if __name__ == "__main__":
    main()
