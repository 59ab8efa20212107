"""The test database: its role, and how it is emptied."""

import pytest
from django.db.backends.base.base import BaseDatabaseWrapper
from psycopg import sql

# Written by Django itself after migrating, the same for every test.
KEPT = ("auth_permission", "django_content_type", "django_migrations")


def bypasses_policies(connection: BaseDatabaseWrapper) -> bool:
    """Whether the connection's role bypasses row-level security."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user")
        (answer,) = cursor.fetchone()
    return bool(answer)


def refuse_bypassing_role(connection: BaseDatabaseWrapper) -> None:
    """End the test run if its role bypasses row-level security: tests of isolation would prove nothing."""
    if bypasses_policies(connection):
        pytest.exit(
            "This role bypasses row-level security: DATABASE_URL must name drawbar_app.",
            1,
        )


def rows_left_by_migrations(connection: BaseDatabaseWrapper) -> list[str]:
    """The tables that hold rows right after migrating, apart from Django's own."""
    filled = []
    with connection.cursor() as cursor:
        for table in _tables(connection):
            cursor.execute(sql.SQL("SELECT EXISTS (SELECT FROM {})").format(sql.Identifier(table)))
            if cursor.fetchone()[0]:
                filled.append(table)
    return filled


def empty_database(connection: BaseDatabaseWrapper) -> None:
    """Remove every row (as the owner: the application may not TRUNCATE)."""
    assert connection.settings_dict["NAME"].startswith("test_"), "Only a test database is ever emptied."
    names = sql.SQL(", ").join(map(sql.Identifier, _tables(connection)))
    with connection.cursor() as cursor:
        cursor.execute(sql.SQL("TRUNCATE {} RESTART IDENTITY CASCADE").format(names))


def _tables(connection: BaseDatabaseWrapper) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY tablename")
        return [name for (name,) in cursor.fetchall() if name not in KEPT]
