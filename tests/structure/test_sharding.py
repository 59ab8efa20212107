"""`shopapi/decisions/sharding.md` names every table, and the keys, triggers and functions that a cluster concerns."""

import re
from collections import defaultdict
from collections.abc import Iterable

import pytest
from django.apps import apps
from django.db import connections

from shopapi.launch.paths import ROOT

DOCUMENT = ROOT / "shopapi" / "decisions" / "sharding.md"
# The tables of shops and the number of the column by which they would be distributed.
DISTRIBUTED = """
    WITH distributed AS (
        SELECT c.oid, c.relname::text AS name, attnum FROM pg_class c JOIN pg_attribute ON attrelid = c.oid
        WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace
        AND attname = CASE c.relname WHEN 'accounts_shop' THEN 'id' ELSE 'shop_id' END
    )
"""
FOREIGN_KEYS = """
    SELECT k.conrelid::regclass::text, k.confrelid::regclass::text, source.attnum = ANY (k.conkey)
    FROM pg_constraint k LEFT JOIN distributed source ON source.oid = k.conrelid WHERE contype = 'f'
"""
KEYS = """
    SELECT name, indexrelid::regclass::text, indisprimary FROM pg_index JOIN distributed ON oid = indrelid
    WHERE indisunique AND NOT attnum = ANY (indkey)
"""
WITHIN_SHOP = "SELECT conrelid::regclass::text FROM pg_constraint WHERE conname LIKE '%id_within_shop'"
EXCLUSIONS = "SELECT conname::text FROM pg_constraint WHERE contype = 'x'"
TRIGGERS = "SELECT DISTINCT tgname::text FROM pg_trigger WHERE NOT tgisinternal"
OWNERS = "SELECT proname::text FROM pg_proc WHERE prosecdef AND pronamespace = 'public'::regnamespace"

pytestmark = pytest.mark.django_db


def query(sql: str) -> list[tuple[object, ...]]:
    with connections["default"].cursor() as cursor:
        cursor.execute(DISTRIBUTED + sql)
        found: list[tuple[object, ...]] = cursor.fetchall()
        return found


def names(sql: str) -> set[str]:
    return {str(name) for (name,) in query(sql)}


def section(heading: str) -> str:
    found = re.search(
        rf"^### {re.escape(heading)}$(.*?)(?=^##|\Z)", DOCUMENT.read_text("utf-8"), re.MULTILINE | re.DOTALL
    )
    assert found, heading
    return found[1]


def listed(heading: str) -> list[str]:
    """The names in the list of a section, without marks of code."""
    lines = re.findall(r"^- (.+(?:\n  .+)*)", section(heading), re.MULTILINE)
    return [name.strip("` \n") for line in lines for name in line.split(",")]


def tables_listed(heading: str) -> set[str]:
    """The tables of a section, whose lines read "app: name, name"."""
    lines = re.findall(r"^- (\w+): ((?:.+)(?:\n  .+)*)", section(heading), re.MULTILINE)
    return {f"{app}_{name.strip()}" for app, these in lines for name in these.split(",")}


def as_lines(tables: Iterable[str]) -> str:
    """The tables as the document lists them, for the message of a failure."""
    by_app: dict[str, list[str]] = defaultdict(list)
    for table in sorted(tables):
        app, _, name = table.partition("_")
        by_app[app].append(name)
    return "\n".join(f"- {app}: {', '.join(of_app)}" for app, of_app in by_app.items())


def placement() -> tuple[set[str], set[str], set[str]]:
    """The tables of all models: distributed, reference (a distributed one refers to them), local."""
    every = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}
    distributed = names("SELECT name FROM distributed") & every
    targets = {str(target) for source, target, _ in query(FOREIGN_KEYS) if source in distributed}
    reference = targets - distributed
    return distributed, reference, every - distributed - reference


@pytest.mark.parametrize(
    ("heading", "which"),
    [("Distributed by `shop_id`", 0), ("Reference", 1), ("Local", 2)],
    ids=str,
)
def test_every_table_has_its_place(heading: str, which: int) -> None:
    tables = placement()[which]
    assert tables
    assert tables_listed(heading) == tables, as_lines(tables)


def test_foreign_keys_stay_within_a_shop() -> None:
    """Both ends on one worker; none from a local table to a shop's."""
    distributed, reference, _ = placement()
    checked = 0
    for source, target, names_shop in query(FOREIGN_KEYS):
        if source in distributed:
            assert names_shop or target in reference, (source, target)
            checked += 1
        else:
            assert target not in distributed, (source, target)
    assert checked > 100


def test_keys_that_would_change() -> None:
    keys = query(KEYS)
    primary = {str(table) for table, _, is_primary in keys if is_primary}
    assert f"{len(primary)} distributed tables have the primary key `id` alone." in section("Primary keys")
    # The shop's own table is distributed by its `id`.
    assert primary - names(WITHIN_SHOP) == set()
    assert sorted(listed("Unique keys without the shop")) == sorted(str(name) for _, name, of_id in keys if not of_id)


@pytest.mark.parametrize(("heading", "sql"), [("Exclusion constraints", EXCLUSIONS), ("Triggers", TRIGGERS)])
def test_constraints_and_triggers_are_named(heading: str, sql: str) -> None:
    assert sorted(listed(heading)) == sorted(names(sql))


def test_functions_with_the_owners_rights_are_named() -> None:
    within, across = (
        listed(f"Functions with the owner's rights, {where}") for where in ("within one shop", "across shops")
    )
    assert sorted(within + across) == sorted(names(OWNERS))
