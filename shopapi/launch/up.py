"""`manage.py up`: everything on one machine, under one supervisor."""

import errno
import os
import shutil
import signal
import socket
import tempfile
from argparse import Namespace
from collections.abc import Mapping
from pathlib import Path
from types import FrameType

from shopapi.launch.console import say, step
from shopapi.launch.errors import LaunchError
from shopapi.launch.install import LOCK, build_pwa, ensure_pango, install_packages
from shopapi.launch.paths import PACKAGES, PYTHON, DataFolder, check_room
from shopapi.launch.processes import EVERY_ADDRESS, beat, web, worker
from shopapi.launch.programs import run_program
from shopapi.launch.servers import Postgres, Valkey, environment_of
from shopapi.launch.supervisor import Supervisor, end_leftovers

STOP_ORDER = ("web", "beat", "worker", "valkey", "postgres")
MEMORY = "/dev/shm"  # noqa: S108 - a folder of this run's own is made in it
DEMO_SIGN_IN = "owner@demo.example, password drawbar-demo"


def up(arguments: Namespace) -> int:
    """Set up what is missing, run Drawbar until Ctrl-C or SIGTERM, stop it; returns the exit code.

    Raises:
        LaunchError: something must be corrected first.
    """
    data = DataFolder(arguments.data.resolve())
    data.create()
    origin = os.environ.get("DRAWBAR_ORIGIN") or _origin(arguments.host, arguments.port)
    with data.held(origin):
        for name in end_leftovers(data.run):
            say(f"Ended {name}, left over from a run that was killed.")
        given_servers()
        check_port(arguments.host, arguments.port)
        check_room(data.path, 200)
        install_packages(LOCK, data.logs)
        ensure_pango(data.logs)
        build_pwa(data.logs)
        return _run(data, arguments, origin)


def _run(data: DataFolder, arguments: Namespace, origin: str) -> int:
    supervisor = Supervisor(logs=data.logs, run=data.run, stop_order=STOP_ORDER, say=say)

    def ask(_number: int, _frame: FrameType | None) -> None:
        if not supervisor.is_asked():
            say("\nStopping: letting requests and work in hand finish.")
        supervisor.ask_to_stop()

    before = {number: signal.signal(number, ask) for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)}
    # In memory where there is such a folder: a full disk would end a process that writes to a mapped file.
    figures = tempfile.mkdtemp(prefix="drawbar-figures-", dir=MEMORY if Path(MEMORY).is_dir() else None)
    try:
        environment = _start_servers(supervisor, data, origin)
        _prepare(environment, data, demo=arguments.demo)
        if not supervisor.is_asked():
            with step("Starting"):
                shared = {"PROMETHEUS_MULTIPROC_DIR": figures}
                supervisor.start(web(environment | shared, arguments.host, arguments.port, origin))
                supervisor.launch(worker(environment))
                supervisor.launch(beat(environment))
            say(f"\nDrawbar is ready: {origin}")
            if arguments.demo:
                say(f"Sign in to the invented demo shop as {DEMO_SIGN_IN}")
            say(f"Stop it with Ctrl-C. Data and logs: {data.path}")
            supervisor.watch()
    finally:
        supervisor.stop()
        data.environment_file.unlink(missing_ok=True)
        shutil.rmtree(figures, ignore_errors=True)
        for number, handler in before.items():
            signal.signal(number, handler)
    say("Stopped.")
    return 0


def _start_servers(supervisor: Supervisor, data: DataFolder, origin: str) -> dict[str, str]:
    """Start the embedded servers, unless the environment names others; the settings for Django."""
    environment = {
        "SECRET_KEY": os.environ.get("SECRET_KEY") or data.secret_key(),
        "DRAWBAR_ORIGIN": origin,
        "DRAWBAR_DATA": str(data.path),
        "DRAWBAR_VAPID_KEY": os.environ.get("DRAWBAR_VAPID_KEY") or data.push_key(),
        "DRAWBAR_DEBUG": os.environ.get("DRAWBAR_DEBUG", "0"),
    }
    given = given_servers()
    if given:
        environment |= given
    else:
        postgres = Postgres(data.path / "postgres", PACKAGES)
        valkey = Valkey(data.path / "valkey", PACKAGES)
        with step("Starting the database"):
            postgres.prepare()
            supervisor.start(postgres.service(), attempts=8)
            postgres.ensure_roles()
            valkey.prepare()
            supervisor.start(valkey.service())
        environment |= environment_of(postgres, valkey)
    data.write_environment(environment)
    return dict(os.environ) | environment | {"DJANGO_SETTINGS_MODULE": "shopapi.config.settings"}


def given_servers() -> dict[str, str]:
    """The servers that the environment names; empty when `up` starts its own.

    Raises:
        LaunchError: it names some of them only.
    """
    names = ("DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL")
    given = {name: os.environ[name] for name in names if os.environ.get(name)}
    if given and len(given) < len(names):
        raise LaunchError("Set all of DATABASE_URL, MIGRATE_DATABASE_URL and REDIS_URL, or none of them.")
    return given


def _prepare(environment: Mapping[str, str], data: DataFolder, *, demo: bool) -> None:
    log = data.logs / "prepare.log"
    with step("Bringing the database up to date") as show:
        command = [str(PYTHON), "-m", "shopapi.config.prepare"]
        prepared = run_program(command, log, environment=environment, on_line=show)
        if prepared.code == os.EX_CONFIG:
            # Its output names the wrong settings, one per line.
            raise LaunchError(prepared.output.strip())
        prepared.require("bringing the database up to date")
    if demo and "There is no shop yet." in prepared.output:
        with step("Opening the invented demo shop (first time only)"):
            command = [str(PYTHON), "-m", "django", "load_demo"]
            run_program(command, log, environment=environment).require("opening the demo shop")


def check_port(host: str, port: int) -> None:
    """Check early whether the web server can listen on its address.

    Raises:
        LaunchError: the address cannot be listened on.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except PermissionError:
            raise LaunchError(f"Port {port} is for root alone: choose another, such as --port 8000.") from None
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                raise LaunchError(
                    f"Port {port} is taken by another program: stop that one, or choose another port, "
                    f"such as --port {port + 1}."
                ) from None
            raise LaunchError(f"--host {host} is not an address of this machine ({error.strerror}).") from None


def _origin(host: str, port: int) -> str:
    name = "localhost" if host in {"127.0.0.1", "::1"} | EVERY_ADDRESS.keys() else host
    return f"http://{f'[{name}]' if ':' in name else name}:{port}"
