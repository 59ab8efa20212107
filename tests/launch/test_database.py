"""The tests run under a role that is subject to row-level security; otherwise they could not test isolation."""

import os
import subprocess
import sys

import pytest
from django.db import DatabaseError, connection, connections

from shopapi.launch.paths import ROOT
from tests.database import bypasses_policies, empty_database


@pytest.mark.django_db(databases=["default", "owner"])
def test_tests_run_as_the_application_role() -> None:
    application, owner = connections["default"], connections["owner"]
    assert application.settings_dict["USER"] == "drawbar_app"
    assert application.settings_dict["NAME"] == owner.settings_dict["NAME"]
    assert not bypasses_policies(application)
    assert bypasses_policies(owner)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "statement",
    [
        "TRUNCATE accounts_shop CASCADE",
        "ALTER TABLE accounts_shop DISABLE ROW LEVEL SECURITY",
        "DROP POLICY accounts_shop_of_one_shop ON accounts_shop",
        "SET ROLE drawbar_owner",
        "CREATE TABLE mine (id int)",
    ],
)
def test_application_role_owns_nothing(statement: str) -> None:
    with pytest.raises(DatabaseError), connection.cursor() as cursor:
        cursor.execute(statement)


def test_committed_rows_are_seen_by_others_and_then_removed(committed_db: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute("INSERT INTO accounts_signintry (about, network) VALUES ('an address', 'a network')")
    assert tries_seen_by_owner() == 1
    connection.close()
    empty_database(connections["owner"])
    assert tries_seen_by_owner() == 0


def tries_seen_by_owner() -> int:
    with connections["owner"].cursor() as cursor:
        cursor.execute("SELECT count(*) FROM accounts_signintry")
        count: int = cursor.fetchone()[0]
        return count


def test_run_as_a_bypassing_role_fails() -> None:
    environment = os.environ | {"DATABASE_URL": os.environ["MIGRATE_DATABASE_URL"]}
    command = [sys.executable, "-m", "pytest", "-q", f"{__file__}::test_application_role_owns_nothing"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "This role bypasses row-level security" in done.stdout + done.stderr
    assert "passed" not in done.stdout
