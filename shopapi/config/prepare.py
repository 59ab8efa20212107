"""Bring the database up to date in one process: migrations, and the demo shop where there is no shop.

Run by `manage.py up` and by the one-shot service of docker-compose.yml, before web and worker start.
"""

import sys
from collections.abc import Sequence

import django
from django.apps import apps
from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor


def main(arguments: Sequence[str]) -> None:
    django.setup()
    executor = MigrationExecutor(connections["owner"])
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", database="owner", interactive=False)
    shops = apps.get_model("accounts", "Shop")
    if "--demo" in arguments and not shops.objects.using("owner").exists():
        call_command("load_demo")


if __name__ == "__main__":
    main(sys.argv[1:])
