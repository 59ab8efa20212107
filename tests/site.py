"""A real web server and worker on the test database, which a test may kill and start again."""

import os
import secrets
import signal
import socket
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from shopapi.launch.processes import web, worker
from shopapi.launch.supervisor import Child, ProcessSpec, end_leftovers
from tests import shifted_clock
from tests.site_process import SHIFT_FILE, write_shift

# A busy machine is slow, not wrong.
START_SECONDS = 180


class LiveSite:
    """Gunicorn on a free port of this machine, and Celery's worker when a test asks for it.

    `base_url` stays the same across `kill` and `restart`.
    """

    def __init__(self, folder: Path, database: str) -> None:
        self._folder = folder
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.base_url = f"http://localhost:{self.port}"
        self.environment = dict(os.environ) | {
            "DATABASE_URL": _with_database(os.environ["DATABASE_URL"], database),
            "MIGRATE_DATABASE_URL": _with_database(os.environ["MIGRATE_DATABASE_URL"], database),
            "DRAWBAR_ORIGIN": self.base_url,
            SHIFT_FILE: str(folder / "shift"),
            "DRAWBAR_METRICS_TOKEN": secrets.token_urlsafe(32),
            "PROMETHEUS_MULTIPROC_DIR": str(folder / "metrics"),
        }
        self._web: Child | None = None
        self._worker: Child | None = None

    def start(self) -> None:
        """Set the clock of its processes to that of the test; start the web server unless it runs already.

        Returns when it answers.
        """
        write_shift(self._folder / "shift", shifted_clock.shift())
        if self._web is None or not self._web.is_running():
            service = web(self.environment, "127.0.0.1", self.port, self.base_url, first_page="/livez")
            self._web = self._child(replace(service, start_seconds=START_SECONDS))
            self._web.wait_ready()

    def kill(self) -> None:
        """Kill the web server and its workers by SIGKILL, as a power cut would."""
        if self._web is not None:
            os.killpg(self._web.process.pid, signal.SIGKILL)
            self._web.process.wait()
            # Until the last of its workers is gone too.
            end_leftovers(self._folder / "web")

    def restart(self) -> None:
        """Stop gracefully and start again."""
        if self._web is not None:
            self._web.stop()
        self.start()

    def ask_to_stop(self) -> None:
        """Ask the web server to stop, as Ctrl-C does, and come back at once."""
        if self._web is not None:
            self._web.process.send_signal(signal.SIGTERM)

    def start_worker(self, *options: str) -> None:
        """Start Celery's worker, with more options of its own; it takes what is already waiting as well."""
        if self._worker is None or not self._worker.is_running():
            service = worker(self.environment)
            self._worker = self._child(replace(service, command=[*service.command, *options], stop_seconds=10))

    @property
    def worker_pid_file(self) -> Path:
        return self._folder / "worker" / "worker.pid"

    def kill_worker(self) -> None:
        """Kill the worker and what it runs by SIGKILL; the task in its hand stays unfinished."""
        if self._worker is not None:
            os.killpg(self._worker.process.pid, signal.SIGKILL)
            self._worker.process.wait()
            self._worker = None

    def stop_worker(self) -> None:
        if self._worker is not None:
            self._worker.stop()
            self._worker = None

    def stop(self) -> None:
        self.stop_worker()
        if self._web is not None:
            self._web.stop()
            self._web = None

    def log(self, name: str = "web") -> str:
        """What the web server (or the "worker") has written since the session began."""
        return (self._folder / f"{name}.log").read_text()

    def has_log(self, name: str) -> bool:
        """Whether that process has run in this session."""
        return (self._folder / f"{name}.log").exists()

    def _child(self, service: ProcessSpec) -> Child:
        run = self._folder / service.name
        run.mkdir(exist_ok=True)
        return Child(replace(service, command=_on_shifted_clock(service.command)), logs=self._folder, run=run)


def _on_shifted_clock(command: Sequence[str]) -> list[str]:
    """The same program, started by `tests/site_process.py`."""
    python, flag, *program = command
    served = {"shopapi.config.wsgi:application": "tests.site_process:application"}
    return [python, flag, "tests.site_process", *(served.get(argument, argument) for argument in program)]


def _with_database(url: str, name: str) -> str:
    return urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
