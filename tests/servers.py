"""The servers of one test run, and the block on network access."""

import atexit
import contextlib
import os
import secrets
import shutil
import sys
import sysconfig
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import django

from shopapi.launch.paths import ROOT, DataFolder
from shopapi.launch.servers import Postgres, Valkey, environment_of
from shopapi.launch.supervisor import Supervisor, accept_interrupts, end_leftovers

# Where no test runs, nothing is asked of a server.
NOWHERE = {
    "DATABASE_URL": "postgresql://nobody@localhost:1/none",
    "MIGRATE_DATABASE_URL": "postgresql://nobody@localhost:1/none",
    "REDIS_URL": "redis://localhost:1",
}
# The database server that this run started; none where DATABASE_URL names another.
clusters: list[Postgres] = []
RUNS = ROOT / "var" / "test" / "runs"


def begin() -> None:
    """Set the environment for Django, with servers of this run's own unless DATABASE_URL names others.

    Each run has its own folder and its own database, so that several may go on side by side.
    """
    accept_interrupts()
    folder = RUNS / f"{os.getpid()}-{secrets.token_hex(3)}"
    _clear_abandoned()
    data = DataFolder(folder)
    data.create()
    # Where no page is asked for, there are no static files either; WhiteNoise wants the folder.
    (folder / "static").mkdir()
    (ROOT / "pwa" / "dist").mkdir(exist_ok=True)
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    holding = contextlib.ExitStack()
    holding.enter_context(data.held("a test run"))
    atexit.register(holding.close)
    environment = {
        "SECRET_KEY": secrets.token_urlsafe(48),
        "DRAWBAR_ORIGIN": "http://localhost:8000",
        "DRAWBAR_DATA": str(folder),
        "DRAWBAR_DEBUG": "0",
        "DJANGO_SETTINGS_MODULE": "shopapi.config.settings",
        # Playwright's loop runs in the test's own thread, where Django would refuse to work.
        "DJANGO_ALLOW_ASYNC_UNSAFE": "1",
    }
    hands_out = _hands_out()
    if not os.environ.get("DATABASE_URL"):
        environment |= NOWHERE if hands_out else _start(data)
    os.environ.update(environment)
    sys.addaudithook(_keep_to_loopback)
    django.setup()
    if hands_out:
        for name in environment:
            del os.environ[name]


def _hands_out() -> bool:
    """Whether this process only distributes tests (pytest-xdist's controller).

    Those who do would inherit what it sets: Django would read its key and folder there before they have their own.
    """
    asked = any(argument.startswith(("-n", "--numprocesses", "--dist")) for argument in sys.argv[1:])
    return asked and "PYTEST_XDIST_WORKER" not in os.environ


def _start(data: DataFolder) -> dict[str, str]:
    packages = Path(sysconfig.get_path("purelib"))
    postgres = Postgres(data.path / "postgres", packages, durable=False)
    valkey = Valkey(data.path / "valkey", packages, durable=False)
    supervisor = Supervisor(logs=data.logs, run=data.run, stop_order=("valkey", "postgres"), say=print)
    atexit.register(supervisor.stop)
    postgres.prepare()
    valkey.prepare()
    supervisor.start(postgres.service())
    supervisor.start(valkey.service())
    postgres.ensure_roles()
    clusters.append(postgres)
    return environment_of(postgres, valkey)


def _clear_abandoned() -> None:
    """End and remove what killed runs have left."""
    for folder in RUNS.glob("*-*"):
        data = DataFolder(folder)
        if data.lock.exists() and not data.is_held():
            end_leftovers(data.run)
            shutil.rmtree(folder, ignore_errors=True)


def _keep_to_loopback(event: str, arguments: tuple[Any, ...]) -> None:
    if event == "socket.connect" and isinstance(arguments[1], tuple):
        host = arguments[1][0]
        if host != "localhost" and not _is_loopback(host):
            raise PermissionError(f"A test tried to reach {host}; tests stay on this machine.")


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
