"""Child processes: start with a log, find again after a killed run, watch, stop in order."""

import contextlib
import ctypes
import fcntl
import os
import pwd
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shopapi.launch.errors import LaunchError

LOG_BYTES = 10_000_000
TRIM_SECONDS = 60
STEADY_SECONDS = 60
LONGEST_DELAY = 30
LONGEST_QUOTE = 200


class Ended(LaunchError):
    """A service ended before it was ready."""


def accept_interrupts() -> None:
    """Let SIGINT end this process and its children, also where a shell started it in the background.

    Such a shell ignores SIGINT for what it starts, and every child would inherit that; `end_leftover` needs it.
    """
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _at_once() -> bool:
    return True


@dataclass(frozen=True)
class ProcessSpec:
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


PARENT_DEATH = 1
"""PR_SET_PDEATHSIG of prctl(2)."""


def ends_with_parent(number: signal.Signals) -> dict[str, Any]:
    """The options by which `subprocess` has the kernel signal a program once this process is gone, even by SIGKILL.

    On Linux alone; elsewhere the next run ends what was left (`end_leftovers`).
    """
    if not sys.platform.startswith("linux"):
        return {}
    parent, libc = os.getpid(), ctypes.CDLL(None)

    def ask() -> None:
        libc.prctl(PARENT_DEATH, number)
        if os.getppid() != parent:
            # It was gone before this was asked for.
            os._exit(1)

    return {"preexec_fn": ask}


def identity(account: str | None) -> dict[str, Any]:
    """The options by which `subprocess` runs a program under a system account, with its groups alone."""
    if account is None:
        return {}
    entry = pwd.getpwnam(account)
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


class Child:
    """A running `ProcessSpec`, with its output in `logs` and its pid file in `run`.

    The pid file stays locked by the child and all it forks, so that a later run can tell a left-over
    process from a number that the system has since given to somebody else.
    """

    def __init__(self, service: ProcessSpec, *, logs: Path, run: Path) -> None:
        self.service = service
        self.log = logs / f"{service.name}.log"
        self._pid_file = run / f"{service.name}.pid"
        if self._pid_file.exists():
            # The last one ended by itself; its children may still hold the address that the next one needs.
            end_leftover(self._pid_file)
        mark = os.open(self._pid_file, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(mark, fcntl.LOCK_EX | fcntl.LOCK_NB)
            with self.log.open("ab") as output:
                self._log_before = output.tell()
                self.process = subprocess.Popen(
                    service.command,
                    env=service.environment,
                    cwd=service.folder,
                    **identity(service.account),
                    stdin=subprocess.DEVNULL,
                    stdout=output,
                    stderr=subprocess.STDOUT,
                    # A session of its own: Ctrl-C reaches the supervisor alone, which stops in order.
                    start_new_session=True,
                    pass_fds=(mark,),
                    # SIGINT ends each of them quickly and cleanly, as in `end_leftover`.
                    **ends_with_parent(signal.SIGINT),
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
            LaunchError: it ended or did not answer in time; the text names its log.
        """
        limit = time.monotonic() + self.service.start_seconds
        while not self.service.ready():
            if not self.is_running():
                raise Ended(f"{self.service.name} ended while starting; the reason is in {self.log}{self._last_line()}")
            if time.monotonic() > limit:
                raise LaunchError(f"{self.service.name} does not answer; what it did is in {self.log}")
            time.sleep(0.02)

    def _last_line(self) -> str:
        """What it wrote last, as the end of a sentence that names its log."""
        said = self.log.read_bytes()[self._log_before :].decode(errors="replace")
        written = [line.strip() for line in said.splitlines() if line.strip()]
        return f": {written[-1][:LONGEST_QUOTE]}" if written else ""

    def trim_log(self) -> None:
        """Move a grown log to `.1`; the child appends, so it goes on at the start of the emptied file."""
        if self.log.stat().st_size > LOG_BYTES:
            shutil.copyfile(self.log, self.log.with_suffix(".log.1"))
            os.truncate(self.log, 0)

    def stop(self) -> None:
        """Send the stop signal; after `stop_seconds` kill it. Ends all of its process group."""
        if self.is_running():
            self.process.send_signal(self.service.stop_signal)
            try:
                self.process.wait(self.service.stop_seconds)
            except subprocess.TimeoutExpired:
                _end_group(self.process.pid, signal.SIGKILL)
                self.process.wait()
        if self._pid_file.exists():
            end_leftover(self._pid_file, patience=2)


class Supervisor:
    """The children of one run: started in order, restarted when they end, stopped in order."""

    def __init__(self, *, logs: Path, run: Path, stop_order: Sequence[str], say: Callable[[str], None]) -> None:
        self._logs = logs
        self._run = run
        self._stop_order = stop_order
        self._say = say
        self._children: dict[str, Child] = {}
        self._asked = threading.Event()

    def ask_to_stop(self) -> None:
        """End `watch`; may be called from a signal handler, more than once."""
        self._asked.set()

    def is_asked(self) -> bool:
        return self._asked.is_set()

    def start(self, service: ProcessSpec, attempts: int = 1) -> None:
        """Start a service. After a kill the first start of a database may fail: give it `attempts`."""
        for attempt in range(attempts):
            child = Child(service, logs=self._logs, run=self._run)
            self._children[service.name] = child
            try:
                child.wait_ready()
            except Ended:
                if attempt + 1 == attempts:
                    raise
                time.sleep(0.5)
            else:
                return

    def launch(self, service: ProcessSpec) -> None:
        """Start a service without waiting until it is ready."""
        self._children[service.name] = Child(service, logs=self._logs, run=self._run)

    def watch(self) -> None:
        """Keep every child running, until asked to stop."""
        failures: dict[str, int] = {}
        started: dict[str, float] = {}
        due: dict[str, float] = {}
        trimmed = time.monotonic()
        while not self._asked.wait(0.2):
            now = time.monotonic()
            for name, child in list(self._children.items()):
                if child.is_running():
                    continue
                if name not in due:
                    if now - started.get(name, 0) > STEADY_SECONDS:
                        failures[name] = 0
                    delay = min(2 ** failures.get(name, 0), LONGEST_DELAY)
                    failures[name] = failures.get(name, 0) + 1
                    due[name] = now + delay
                    self._say(
                        f"{name} ended (code {child.process.returncode}), starting it again in {delay} s; "
                        f"its log: {child.log}"
                    )
                elif now >= due[name]:
                    del due[name]
                    started[name] = now
                    self.launch(child.service)
            if now - trimmed > TRIM_SECONDS:
                trimmed = now
                for child in self._children.values():
                    child.trim_log()

    def stop(self) -> None:
        """Stop all children, in the order given at the start."""
        for name in self._stop_order:
            child = self._children.pop(name, None)
            if child is not None:
                child.stop()


def end_leftovers(run: Path) -> list[str]:
    """End what a killed run has left; returns the names of the services that were ended."""
    return [pid_file.stem for pid_file in sorted(run.glob("*.pid")) if end_leftover(pid_file)]


def end_leftover(pid_file: Path, patience: float = 15) -> bool:
    """End what still holds this pid file, and remove it; whether anything did."""
    with pid_file.open("r+b") as mark:
        was_running = _is_locked(mark.fileno())
        group = int(mark.read() or b"0")
        if was_running:
            # SIGINT ends every one of them quickly and cleanly (for PostgreSQL: a fast shutdown).
            _end_group(group, signal.SIGINT)
        limit = time.monotonic() + patience
        while _is_locked(mark.fileno()):
            if time.monotonic() > limit:
                _end_group(group, signal.SIGKILL)
                limit = time.monotonic() + patience
            time.sleep(0.02)
    pid_file.unlink()
    return was_running


def _is_locked(descriptor: int) -> bool:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    fcntl.flock(descriptor, fcntl.LOCK_UN)
    return False


def _end_group(group: int, number: signal.Signals) -> None:
    if group > 1:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(group, number)
