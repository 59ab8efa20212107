"""A primary of PostgreSQL and its streaming replica, made as the README describes and killed at will."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.conf import settings

from shopapi.launch.paths import PACKAGES
from shopapi.launch.servers import Postgres
from shopapi.launch.supervisor import Child, identity
from tests import servers
from tests.pgbouncer import give_to

SETTLED = 60.0
# What a killed process has written is in the machine's memory: nothing here needs the disk.
QUICK = {"fsync": "off"}
# Whoever they are: a commit is answered once one of them has it.
REPLICAS = "*"


class Server:
    """A copy of another server by `pg_basebackup`: its replica, or one of its own."""

    def __init__(self, folder: Path, of: Postgres, *, is_replica: bool, settings: dict[str, str]) -> None:
        self.postgres = Postgres(folder / "postgres", PACKAGES)
        self._folder = folder
        self._settings = QUICK | settings
        self.postgres.folder.mkdir(parents=True, mode=0o700)
        if self.postgres.account is not None:
            give_to(self.postgres.account, self.postgres.folder)
        options = ["--checkpoint=fast", "--no-sync", *(["--write-recovery-conf"] if is_replica else [])]
        where = ["--pgdata", str(self.postgres.folder), "--dbname", of.url("postgres", "postgres")]
        command = [str(self.postgres.bin / "pg_basebackup"), *options, *where]
        copied = subprocess.run(
            command, **identity(self.postgres.account), cwd="/", capture_output=True, text=True, check=False
        )
        assert copied.returncode == 0, copied.stderr
        # Here the socket is in the data folder.
        (self.postgres.folder / ".s.PGSQL.5432.lock").unlink(missing_ok=True)
        self.postgres.prepare()
        self._child: Child | None = None

    def start(self) -> None:
        service = self.postgres.service()
        more = [part for name, value in self._settings.items() for part in ("-c", f"{name}={value}")]
        child = Child(replace(service, command=[*service.command, *more]), logs=self._folder, run=self._folder)
        child.wait_ready()
        self._child = child

    def kill(self) -> None:
        """End all its processes by SIGKILL, as a power cut would."""
        assert self._child is not None
        backends = [pid for (pid,) in self.query("SELECT pid FROM pg_stat_activity WHERE pid <> pg_backend_pid()")]
        self._child.process.send_signal(signal.SIGKILL)
        for pid in backends:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        self._child.process.wait()

    def wait_for_replicas(self, named: str) -> None:
        """Let commits wait for the replicas of these names from here on; empty: for none."""
        self.query(f"ALTER SYSTEM SET synchronous_standby_names = '{named}'")
        self.query("SELECT pg_reload_conf()")

    def promote(self) -> None:
        """Make a primary of a replica, which has none of its own yet."""
        self.wait_for_replicas("")
        self.query("SELECT pg_promote()")

    def stop(self) -> None:
        if self._child is not None:
            self._child.stop()

    def query(self, sql: str, *values: Any, database: str = "postgres") -> list[tuple[Any, ...]]:
        """Rows of a query as the superuser."""
        with psycopg.connect(self.postgres.url("postgres", database), autocommit=True) as connection:
            cursor = connection.execute(sql, values)
            return cursor.fetchall() if cursor.description else []

    def log(self) -> str:
        return (self._folder / "postgres.log").read_text()


@contextmanager
def server_folder() -> Iterator[Path]:
    """A folder where this run's servers are: pytest's own is closed to their account whenever another run begins."""
    folder = Path(tempfile.mkdtemp(prefix="servers-", dir=settings.DATA_DIR))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class Pair:
    """The primary, a copy of this run's server as it is now, and its replica; both run."""

    def __init__(self, folder: Path) -> None:
        if not servers.clusters:
            pytest.fail("The tests of a replica copy this run's own server: run them without DATABASE_URL.")
        (origin,) = servers.clusters
        self.primary = Server(folder / "primary", origin, is_replica=False, settings={"synchronous_commit": "on"})
        self.primary.start()
        # Before the copy, which then holds this setting too.
        self.primary.wait_for_replicas(REPLICAS)
        # What it is asked is in its log.
        told = {"log_statement": "all"}
        self.replica = Server(folder / "replica", self.primary.postgres, is_replica=True, settings=told)
        self.replica.start()
        self.wait_until_synchronous()

    def wait_until_synchronous(self) -> None:
        states = "SELECT sync_state FROM pg_stat_replication"
        wait_for(lambda: self.primary.query(states) == [("sync",)])

    def url(self, role: str, database: str) -> str:
        """The address of whichever of the two accepts writes."""
        folders = ",".join(str(server.postgres.socket_folder) for server in (self.primary, self.replica))
        return f"postgresql://{role}@/{database}?host={folders}&target_session_attrs=read-write"

    def stop(self) -> None:
        for server in (self.replica, self.primary):
            server.stop()


def wait_for(condition: Callable[[], bool]) -> None:
    limit = time.monotonic() + SETTLED
    while not condition():
        assert time.monotonic() < limit, f"it did not happen within {SETTLED} s"
        time.sleep(0.05)
