"""The migrated test database, kept as a dump between runs: migrating anew takes most of the time of a short run.

A dump is named after the digest of what makes it: the migrations, the modules that they import, the locks, the roles.
"""

import ast
import fcntl
import hashlib
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shopapi.launch.paths import ROOT
from shopapi.launch.servers import ROLES_SQL, Postgres

KEPT = ROOT / "var" / "test" / "migrated"
TEMPLATE = "drawbar_migrated"
LOCKS = ("requirements.txt", "requirements-local.txt", "requirements-dev.txt")


@contextmanager
def migrated(cluster: Postgres) -> Iterator[bool]:
    """Make the database `TEMPLATE` in a new cluster from the dump that earlier runs kept; yields whether there was one.

    If there was none, other runs that begin meanwhile wait for `keep`, which the caller calls in the block.
    """
    KEPT.mkdir(parents=True, exist_ok=True)
    dump = _dump()
    with (KEPT / "lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not dump.exists():
            yield False
            return
    maintenance = f"--maintenance-db={cluster.url('postgres', 'postgres')}"
    _run(cluster, "createdb", maintenance, "--owner=drawbar_owner", TEMPLATE)
    _run(cluster, "psql", "-XqAt", "-v", "ON_ERROR_STOP=1", "-f", str(dump), cluster.url("postgres", TEMPLATE))
    yield True


def keep(cluster: Postgres, database: str) -> None:
    """Keep a database that was just migrated; dumps of other states are removed."""
    dump, fresh = _dump(), KEPT / f"{os.getpid()}.new"
    _run(cluster, "pg_dump", f"--file={fresh}", cluster.url("postgres", database))
    for old in KEPT.glob("*.sql"):
        old.unlink()
    fresh.rename(dump)


def _run(cluster: Postgres, program: str, *arguments: str) -> None:
    done = subprocess.run([str(cluster.bin / program), *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{program} of the migrated database failed: {done.stderr.strip()}")


def _dump() -> Path:
    return KEPT / f"{_digest()}.sql"


def _digest() -> str:
    migrations = set((ROOT / "shopapi").glob("*/migrations/*.py"))
    imported = {module for path in migrations for module in _imported_by(path)}
    # What a migration operation does is written in core.
    files = migrations | imported | set((ROOT / "shopapi" / "core").glob("*.py"))
    found = hashlib.sha256()
    for path in [*sorted(files), ROLES_SQL, *(ROOT / name for name in LOCKS)]:
        found.update(str(path.relative_to(ROOT)).encode() + b"\0" + path.read_bytes() + b"\0")
    return found.hexdigest()[:32]


def _imported_by(path: Path) -> Iterator[Path]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("shopapi"):
            module = ROOT.joinpath(*node.module.split("."))
            names = [module, *(module / name.name for name in node.names)]
            yield from (found for name in names for found in _files_of(name))


def _files_of(module: Path) -> Iterator[Path]:
    yield from (path for path in (module.with_suffix(".py"), module / "__init__.py") if path.exists())
