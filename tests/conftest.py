"""Fixtures of all tests: servers of this run, the application's role, a browser, a flaky proxy."""

from tests import servers, shifted_clock

# Before anything reads Django's settings, or the time.
servers.begin()
shifted_clock.replace_clock()

import fcntl  # noqa: E402
import os  # noqa: E402
import shutil  # noqa: E402
from collections.abc import Iterator  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

import pytest  # noqa: E402
from django.contrib.auth.hashers import Argon2PasswordHasher  # noqa: E402
from django.db import connections  # noqa: E402
from django.test.utils import setup_databases, teardown_databases  # noqa: E402
from hypothesis import HealthCheck, settings  # noqa: E402
from pytest_django.plugin import DjangoDbBlocker  # noqa: E402

from shopapi.launch.errors import LaunchError  # noqa: E402
from shopapi.launch.install import PWA, build_pwa  # noqa: E402
from shopapi.launch.paths import ROOT, DataFolder  # noqa: E402
from tests.database import (  # noqa: E402
    empty_database,
    refuse_bypassing_role,
    rows_left_by_migrations,
    set_shift,
    shift_time,
)
from tests.flaky_proxy import FlakyProxy  # noqa: E402
from tests.migrated import TEMPLATE, keep, migrated  # noqa: E402
from tests.site import LiveSite  # noqa: E402

QUIET_CHROMIUM = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # A microphone that hums. A page still has to be allowed to use it.
    "--use-fake-device-for-media-stream",
    # No test page may reach beyond this machine.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
)
skipped: list[str] = []

# On a busy machine a draw takes as long as it takes.
settings.register_profile("drawbar", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("drawbar")

# Each shop of the tests has three passwords, and a hash at its real cost takes a quarter of a second. What the product
# itself does is checked in `accounts/test_passwords.py`, in a process of its own.
REAL_COST = {name: getattr(Argon2PasswordHasher, name) for name in ("time_cost", "memory_cost")}
Argon2PasswordHasher.time_cost = 1
Argon2PasswordHasher.memory_cost = 64


@pytest.fixture
def real_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords are hashed at their real cost."""
    for name, cost in REAL_COST.items():
        monkeypatch.setattr(Argon2PasswordHasher, name, cost)


# Nothing is skipped


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        mark = item.get_closest_marker("django_db")
        fixtures = set(getattr(item, "fixturenames", ()))
        if fixtures & {"transactional_db", "live_server"} or (mark and mark.kwargs.get("transaction")):
            raise pytest.UsageError(
                f"{item.nodeid}: pytest-django would TRUNCATE as the application, which has no right to. "
                "Use committed_db, or live_site for a server."
            )


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.skipped and not hasattr(report, "wasxfail"):
        skipped.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    if report.skipped:
        skipped.append(report.nodeid)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    if skipped and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: Any) -> None:
    for name in skipped:
        terminalreporter.write_line(f"SKIPPED, which fails the run: {name}", red=True)


# The time


@pytest.fixture(autouse=True)
def _begin_at_start(request: pytest.FixtureRequest) -> None:
    """Each test begins at `shifted_clock.START`, for the application and the database alike."""
    shift = shifted_clock.begin_test()
    if request.node.get_closest_marker("django_db") or "db" in request.fixturenames:
        request.getfixturevalue("db")
        set_shift(connections["default"], shift)


# The database


@pytest.fixture(scope="session")
def django_db_setup(django_test_environment: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The database is made and migrated by its owner; the suite works in it as the application.

    Both connections lead there from the start, whatever a test asks for: none may ever reach the real one.
    """
    test = connections["owner"].settings_dict["TEST"]
    # Several runs may share one server.
    test["NAME"] = f"test_drawbar_{os.getpid()}"
    # Django would make "default" first, which is the mirror here.
    test["DEPENDENCIES"] = []
    with django_db_blocker.unblock():
        made = _made_databases(test)
        refuse_bypassing_role(connections["default"])
        left = rows_left_by_migrations(connections["owner"])
        shift_time(connections["owner"])
        connections.close_all()
    assert not left, f"Migrations put rows into {left}, which committed_db would remove for good."
    yield
    with django_db_blocker.unblock():
        connections.close_all()
        teardown_databases(made, verbosity=0)


def _made_databases(test: dict[str, Any]) -> Any:
    if not servers.clusters:
        return setup_databases(verbosity=0, interactive=False, serialized_aliases=())
    (cluster,) = servers.clusters
    with migrated(cluster) as found:
        if found:
            test["TEMPLATE"] = TEMPLATE
        made = setup_databases(verbosity=0, interactive=False, serialized_aliases=())
        if not found:
            keep(cluster, test["NAME"])
    return made


@pytest.fixture
def committed_db(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The database with real commits, for threads and other processes; afterwards all of it is removed."""
    with django_db_blocker.unblock():
        set_shift(connections["default"], shifted_clock.shift())
        yield
        connections.close_all()
        empty_database(connections["owner"])
        connections.close_all()


# The app


@pytest.fixture(scope="session")
def built_app() -> Path:
    """The folder of the built app; builds it when its sources have changed."""
    data = DataFolder(ROOT / "var" / "test")
    data.create()
    # Each process of pytest-xdist asks for it.
    with data.path.joinpath("build.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        try:
            build_pwa(data.logs)
        except LaunchError as trouble:
            pytest.fail(f"This test needs the built app, and it could not be built: {trouble}", pytrace=False)
    return PWA / "dist"


# The live site


@pytest.fixture(scope="session")
def _site(
    request: pytest.FixtureRequest,
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[LiveSite]:
    # The web server lists the app's files once, when it starts.
    if any("built_app" in getattr(item, "fixturenames", ()) for item in request.session.items):
        request.getfixturevalue("built_app")
    with django_db_blocker.unblock():
        site = LiveSite(tmp_path_factory.mktemp("site"), connections["owner"].settings_dict["NAME"])
    yield site
    site.stop()


@pytest.fixture
def live_site(committed_db: None, _site: LiveSite) -> Iterator[LiveSite]:
    """A running site (web; a worker by `start_worker()`) on the test database, empty at first."""
    _site.start()
    yield _site
    _site.stop_worker()


@pytest.fixture
def proxy(live_site: LiveSite) -> Iterator[FlakyProxy]:
    """A proxy to `live_site` that can be refused, silenced, delayed or cut."""
    proxy = FlakyProxy(live_site.port)
    yield proxy
    proxy.close()


# The browser


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    names = ("chromium", "chromium-browser", "google-chrome")
    path = os.environ.get("DRAWBAR_CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if path is None or not Path(path).exists():
        pytest.fail("No Chromium: `python3 manage.py test` finds or installs one; else set DRAWBAR_CHROMIUM.")
    return {"executable_path": path, "args": list(QUIET_CHROMIUM)}
