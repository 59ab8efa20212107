"""PgBouncer in transaction mode in front of this run's PostgreSQL, with fewer server connections than clients."""

import os
import pwd
import shutil
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import psycopg
import pytest

from shopapi.launch.programs_for_tests import PGBOUNCER
from shopapi.launch.servers import SERVER_ACCOUNT
from shopapi.launch.supervisor import Child, ProcessSpec

SERVER_CONNECTIONS = 2
INI = """\
[databases]
* = {server}

[pgbouncer]
listen_addr = 127.0.0.1
listen_port = {port}
unix_socket_dir =
auth_type = trust
auth_file = {users}
pool_mode = transaction
max_db_connections = {connections}
default_pool_size = {connections}
server_reset_query =
"""


@contextmanager
def pgbouncer(folder: Path, database: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Run it; yields Django's settings for the same database through it."""
    found = PGBOUNCER.find()
    if not found:
        pytest.fail(PGBOUNCER.missing())
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    server = {"host": database["HOST"], "port": database["PORT"], "password": database["PASSWORD"]}
    where = " ".join(f"{name}='{value}'" for name, value in server.items() if value)
    ini, users = folder / "pgbouncer.ini", folder / "users.txt"
    ini.write_text(INI.format(server=where, port=port, users=users, connections=SERVER_CONNECTIONS))
    users.write_text(f'"{database["USER"]}" "{database["PASSWORD"]}"\n')
    through = database | {"HOST": "127.0.0.1", "PORT": str(port), "OPTIONS": {}, "DISABLE_SERVER_SIDE_CURSORS": True}
    # It refuses to run as root, and PostgreSQL's socket is in a folder of its account's alone.
    account = SERVER_ACCOUNT if os.geteuid() == 0 else None
    if account is not None:
        give_to(account, folder)
    spec = ProcessSpec(
        name="pgbouncer",
        command=[found[0], str(ini)],
        environment={"PATH": os.defpath},
        account=account,
        ready=lambda: _answers(through),
    )
    child = Child(spec, logs=folder, run=folder)
    try:
        child.wait_ready()
        yield through
    finally:
        child.stop()


def url_of(database: dict[str, Any]) -> str:
    """The address of a database, as in DATABASE_URL."""
    name, password = quote(database["USER"], safe=""), quote(database["PASSWORD"], safe="")
    who = f"{name}:{password}" if password else name
    where = urlencode({"host": database["HOST"], "port": database["PORT"] or 5432}, safe="/")
    return f"postgresql://{who}@/{database['NAME']}?{where}"


def give_to(account: str, folder: Path) -> None:
    """Let a system account read a folder, and pass through those above."""
    entry = pwd.getpwnam(account)
    for path in (folder, *folder.iterdir()):
        shutil.chown(path, entry.pw_uid, entry.pw_gid)
    for above in folder.parents:
        mode = above.stat().st_mode
        if not mode & 0o001:
            above.chmod(mode & 0o7777 | 0o001)


def _answers(database: dict[str, Any]) -> bool:
    try:
        with psycopg.connect(url_of(database), connect_timeout=2):
            return True
    except psycopg.OperationalError:
        return False
