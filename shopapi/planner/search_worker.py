"""Runs a second search in a helper process.

A plain child over two pipes, because Celery's processes may not have `multiprocessing` children. If it cannot start or
dies, the first search continues alone.
"""

import contextlib
import os
import pickle
import subprocess
import sys
import time
from typing import IO, Any

from shopapi.planner.search_task import Incumbent, SearchTask, run_task


class SearchWorker:
    """A running helper process; a `RemoteSearch` of the planner."""

    def __init__(self, task: SearchTask) -> None:
        path = os.pathsep.join(each for each in sys.path if each)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "shopapi.planner.search_worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=os.environ | {"PYTHONPATH": path},
        )
        self.alive = True
        self._send(task)

    def exchange(self, mine: Incumbent) -> Incumbent | None:
        """Send our best solution and receive its; None once it has ended."""
        self._send(mine)
        if not self.alive or self._process.stdout is None:
            return None
        try:
            received = _receive(self._process.stdout)
        except (EOFError, OSError, pickle.UnpicklingError):
            self.alive = False
            return None
        return received if isinstance(received, Incumbent) else None

    def end(self) -> None:
        """Stop it at once."""
        self.alive = False
        self._process.kill()
        with contextlib.suppress(OSError):
            self._process.communicate()

    def _send(self, message: object) -> None:
        if not self.alive or self._process.stdin is None:
            return
        try:
            _write(self._process.stdin, message)
        except OSError:
            self.alive = False


def _write(pipe: IO[bytes], message: object) -> None:
    pickle.dump(message, pipe)
    pipe.flush()


def _receive(pipe: IO[bytes]) -> Any:
    # Only from our own child or parent, over a private pipe.
    return pickle.load(pipe)  # noqa: S301


def _child() -> None:
    heard, said = sys.stdin.buffer, sys.stdout.buffer
    task: SearchTask = _receive(heard)

    def exchange(mine: Incumbent) -> Incumbent | None:
        _write(said, mine)
        received = _receive(heard)
        return received if isinstance(received, Incumbent) else None

    with contextlib.suppress(EOFError, BrokenPipeError):
        run_task(task, time.monotonic, exchange)


if __name__ == "__main__":
    _child()
