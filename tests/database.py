"""The test database: its role, its time, and how it is emptied."""

from datetime import timedelta

import pytest
from django.db.backends.base.base import BaseDatabaseWrapper
from psycopg import sql

# Written by Django itself after migrating, the same for every test.
KEPT = ("auth_permission", "django_content_type", "django_migrations")

# A function finds these before PostgreSQL's own, which cannot be set. `now()` stays the beginning of the transaction.
SHIFTED_TIME = """
CREATE SCHEMA shifted;
GRANT USAGE ON SCHEMA shifted TO PUBLIC;
CREATE TABLE shifted.clock AS SELECT interval '0' AS shift;
GRANT SELECT, UPDATE ON shifted.clock TO PUBLIC;
CREATE FUNCTION shifted.now() RETURNS timestamptz LANGUAGE sql STABLE
    AS 'SELECT pg_catalog.now() + shift FROM shifted.clock';
CREATE FUNCTION shifted.statement_timestamp() RETURNS timestamptz LANGUAGE sql STABLE
    AS 'SELECT pg_catalog.statement_timestamp() + shift FROM shifted.clock';
CREATE FUNCTION shifted.clock_timestamp() RETURNS timestamptz LANGUAGE sql VOLATILE
    AS 'SELECT pg_catalog.clock_timestamp() + shift FROM shifted.clock';
"""
READS_TIME = r"\m(now|statement_timestamp|clock_timestamp)\(\)"
READS_OTHER_TIME = r"\m(current_(date|time|timestamp)|local(time|timestamp)|(transaction|timeofday)\w*\()"


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


def shift_time(connection: BaseDatabaseWrapper) -> None:
    """Let the functions and defaults of the migrated database read a clock that `set_shift` sets (as its owner)."""
    with connection.cursor() as cursor:
        cursor.execute(SHIFTED_TIME)
        for function in _functions(connection, READS_TIME):
            cursor.execute(f"ALTER FUNCTION {function} SET search_path = shifted, pg_catalog, public, pg_temp")
        cursor.execute(
            "SELECT adrelid::regclass::text, attname, pg_get_expr(adbin, adrelid) FROM pg_attrdef "
            "JOIN pg_attribute ON attrelid = adrelid AND attnum = adnum "
            "WHERE pg_get_expr(adbin, adrelid) ~* %s",
            [READS_TIME],
        )
        for table, column, default in cursor.fetchall():
            cursor.execute(f'ALTER TABLE {table} ALTER "{column}" SET DEFAULT shifted.{default}')
    other = _functions(connection, READS_OTHER_TIME)
    assert not other, f"{other} read the time in a way that tests cannot shift; now() can be."


def set_shift(connection: BaseDatabaseWrapper, shift: timedelta) -> None:
    """How far the database's clock is ahead of the machine's, from here on or until this transaction is rolled back."""
    with connection.cursor() as cursor:
        cursor.execute("UPDATE shifted.clock SET shift = make_interval(secs => %s)", [shift.total_seconds()])


def _functions(connection: BaseDatabaseWrapper, pattern: str) -> list[str]:
    """The functions of the product whose text matches."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT p.oid::regprocedure::text FROM pg_proc p JOIN pg_language l ON l.oid = prolang "
            "WHERE pronamespace = 'public'::regnamespace AND lanname IN ('sql', 'plpgsql') AND prosrc ~* %s",
            [pattern],
        )
        return [name for (name,) in cursor.fetchall()]


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
