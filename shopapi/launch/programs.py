"""Run one program to its end, its output in a log file."""

import os
import signal
import subprocess
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shopapi.launch.errors import LaunchError
from shopapi.launch.paths import ROOT
from shopapi.launch.supervisor import ends_with_parent

NO_ROOM = ("No space left on device", "ENOSPC")
NO_NETWORK = (
    "Temporary failure in name resolution",
    "Name or service not known",
    "nodename nor servname",
    "Network is unreachable",
    "Failed to establish a new connection",
    "ENOTFOUND",
    "EAI_AGAIN",
    "ECONNREFUSED",
    "ETIMEDOUT",
    "ConnectTimeoutError",
    "NameResolutionError",
    "Temporary failure resolving",
)


@dataclass(frozen=True)
class Finished:
    code: int
    output: str
    log: Path

    def require(self, what: str) -> None:
        """Check the result of a program.

        Raises:
            LaunchError: the program failed; the text distinguishes disk and network from other causes.
        """
        if self.code == 0:
            return
        if any(sign in self.output for sign in NO_ROOM):
            raise LaunchError(f"The disk is full: {what} stopped half-way. Make room and run this again.")
        if any(sign in self.output for sign in NO_NETWORK):
            raise LaunchError(
                f"No network: {what} needs one the first time. Connect and run the same command again "
                f"(details: {self.log})."
            )
        raise LaunchError(f"{what} failed: {_last_words(self.output)} (details: {self.log})")


def _last_words(output: str) -> str:
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    # npm ends with the place of a log of its own, after the reason.
    errors = [line for line in lines if "error" in line.lower() and "complete log" not in line]
    return ((errors or lines or ["no reason given"])[-1])[:200]


def run_program(
    command: Sequence[str],
    log: Path,
    *,
    environment: Mapping[str, str] | None = None,
    folder: Path = ROOT,
    on_line: Callable[[str], None] = lambda _: None,
) -> Finished:
    """Run `command`, hand each line of its output to `on_line`, and keep all of it in `log`."""
    lines: list[str] = []
    with (
        log.open("a", encoding="utf-8") as record,
        subprocess.Popen(
            command,
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            start_new_session=True,
            **ends_with_parent(signal.SIGKILL),
        ) as process,
    ):
        record.write(f"$ {' '.join(command)}\n")
        try:
            for line in process.stdout or ():
                record.write(line)
                lines.append(line)
                on_line(line.strip())
        except BaseException:
            os.killpg(process.pid, signal.SIGKILL)
            raise
    return Finished(process.returncode, "".join(lines), log)
