"""Rows that got new fields by a migration go to every device once more."""

from importlib import import_module

from django.db import connections, transaction

from tests.factories import work
from tests.factories.crews import open_crew
from tests.factories.rigs import a_rig

MIGRATIONS = (
    "shopapi.machines.migrations.0003_measures_as_typed",
    "shopapi.dispatch.migrations.0007_measures_as_typed",
)
CHANGES = "SELECT kind, seq FROM core_syncchange WHERE kind IN ('machine', 'rig') ORDER BY kind"


def test_existing_machines_and_rigs_are_resent_with_new_fields(committed_db: None) -> None:
    crew = open_crew("Measures")
    work.a_machine(crew.owner, work.a_customer(crew.owner), mass_kg=408)
    a_rig(crew.owner)
    owner = connections["owner"]
    with owner.cursor() as cursor:
        cursor.execute(CHANGES)
        before = cursor.fetchall()
    for name in MIGRATIONS:
        added, sent = import_module(name).Migration.operations[0], import_module(name).Migration.operations[-1]
        # As the migration does it: a column, then the rows, in one transaction of the owner of the tables.
        with transaction.atomic(using="owner"), owner.cursor() as cursor:
            cursor.execute(f"ALTER TABLE {sent.sql.split()[1]} ADD COLUMN again_{added.name} varchar(20) DEFAULT ''")
            cursor.execute(sent.sql)
        with owner.cursor() as cursor:
            cursor.execute(f"ALTER TABLE {sent.sql.split()[1]} DROP COLUMN again_{added.name}")
    with owner.cursor() as cursor:
        cursor.execute(CHANGES)
        after = cursor.fetchall()
    assert [kind for kind, _ in before] == ["machine", "rig"]
    assert all(now > was for (_, was), (_, now) in zip(before, after, strict=True))
