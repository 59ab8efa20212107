"""Child processes: started with a log, found again after a killed run, watched, stopped in order."""

import fcntl
import os
import signal
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shopapi.config.launch.trouble import Trouble

LOG_BYTES = 10_000_000


def _at_once() -> bool:
    return True


@dataclass(frozen=True)
class Service:
    """One long-running program: how it is started, known to be ready, and stopped.

    `account` is the system account to run under (None: the caller's own).
    """

    name: str
    command: Sequence[str]
    environment: Mapping[str, str]
    account: str | None = None
    folder: Path = Path("/")
    stop_signal: signal.Signals = signal.SIGTERM
    stop_seconds: float = 10
    start_seconds: float = 30
    ready: Callable[[], bool] = _at_once


class Child:
    """A running `Service`, with its output in `logs` and its pid file in `run`.

    The pid file stays locked by the child and all it forks, so that a later run can tell a left-over
    process from a number that the system has since given to somebody else.
    """

    def __init__(self, service: Service, *, logs: Path, run: Path) -> None:
        self.service = service
        self.log = logs / f"{service.name}.log"
        if self.log.exists() and self.log.stat().st_size > LOG_BYTES:
            self.log.replace(self.log.with_suffix(".log.1"))
        self._pid_file = run / f"{service.name}.pid"
        mark = os.open(self._pid_file, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(mark, fcntl.LOCK_EX | fcntl.LOCK_NB)
            with self.log.open("ab") as output:
                self.process = subprocess.Popen(
                    service.command,
                    env=service.environment,
                    cwd=service.folder,
                    user=service.account,
                    stdin=subprocess.DEVNULL,
                    stdout=output,
                    stderr=subprocess.STDOUT,
                    # A session of its own: Ctrl-C reaches the supervisor alone, which stops in order.
                    start_new_session=True,
                    pass_fds=(mark,),
                )
            os.ftruncate(mark, 0)
            os.write(mark, str(self.process.pid).encode())
        finally:
            os.close(mark)

    def is_running(self) -> bool:
        return self.process.poll() is None

    def wait_ready(self) -> None:
        """Block until the service answers.

        Raises:
            Trouble: it ended or did not answer in time; the text names its log.
        """
        limit = time.monotonic() + self.service.start_seconds
        while not self.service.ready():
            if not self.is_running():
                raise Trouble(f"{self.service.name} ended while starting; the reason is in {self.log}")
            if time.monotonic() > limit:
                raise Trouble(f"{self.service.name} does not answer; what it did is in {self.log}")
            time.sleep(0.02)

    def stop(self) -> None:
        """Ask the child to end; after `stop_seconds` end its whole session."""
        if self.is_running():
            self.process.send_signal(self.service.stop_signal)
            try:
                self.process.wait(self.service.stop_seconds)
            except subprocess.TimeoutExpired:
                _end_group(self.process.pid, signal.SIGKILL)
                self.process.wait()
        self._pid_file.unlink(missing_ok=True)


def end_leftovers(run: Path, patience: float = 15) -> list[str]:
    """End what a killed run has left; returns the names of the services that were ended."""
    ended = []
    for pid_file in sorted(run.glob("*.pid")):
        with pid_file.open("r+b") as mark:
            if not _is_locked(mark.fileno()):
                pid_file.unlink()
                continue
            ended.append(pid_file.stem)
            group = int(mark.read() or b"0")
            # SIGINT ends every one of them quickly and cleanly (for PostgreSQL: a fast shutdown).
            _end_group(group, signal.SIGINT)
            limit = time.monotonic() + patience
            while _is_locked(mark.fileno()):
                if time.monotonic() > limit:
                    _end_group(group, signal.SIGKILL)
                    limit = time.monotonic() + patience
                time.sleep(0.05)
            pid_file.unlink()
    return ended


def _is_locked(descriptor: int) -> bool:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    fcntl.flock(descriptor, fcntl.LOCK_UN)
    return False


def _end_group(group: int, number: signal.Signals) -> None:
    if group > 1:
        try:
            os.killpg(group, number)
        except ProcessLookupError:
            pass
