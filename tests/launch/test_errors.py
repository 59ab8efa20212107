"""Errors that a person can correct: one line that says how, exit code 2, no traceback."""

import errno
import json
import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from shopapi.launch import cli, install
from shopapi.launch.errors import LaunchError
from shopapi.launch.paths import PYTHON, ROOT, DataFolder, check_room
from shopapi.launch.programs import run_program


def manage(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run `manage.py` without the settings of this test run."""
    ours = {"DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL", "DRAWBAR_DATA"}
    clean = {key: value for key, value in os.environ.items() if key not in ours}
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *arguments],
        env=clean | environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def complaint(done: subprocess.CompletedProcess[str]) -> str:
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert line.startswith("drawbar: ")
    return line.removeprefix("drawbar: ")


def test_python_too_old() -> None:
    pretend = (
        "import runpy, sys; sys.version_info = (3, 8, 10, 'final', 0); "
        f"sys.argv = ['manage.py', 'up']; runpy.run_path({str(ROOT / 'manage.py')!r}, run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", pretend], capture_output=True, text=True, check=False)
    assert complaint(done) == (
        "this is Python 3.8, Drawbar needs 3.11 or newer: "
        "install it and run it by its name, for example python3.12 manage.py"
    )


@pytest.mark.parametrize("step", ["create()", "held('here').__enter__()"])
def test_folder_of_another_account(tmp_path: Path, step: str) -> None:
    """A folder in which root once ran Drawbar, or only made it, asked for by another account."""
    data = DataFolder(tmp_path / "data")
    if step == "create()":
        data.path.mkdir()
    else:
        data.create()
        data.lock.touch()
        data.lock.chmod(0o600)
    program = (
        "import os, sys; sys.path.insert(0, os.getcwd())\n"
        "from shopapi.launch.errors import LaunchError\n"
        "from shopapi.launch.paths import DataFolder\n"
        "from pathlib import Path\n"
        "os.setgid(65534); os.setuid(65534)\n"
        "try:\n"
        f"    DataFolder(Path({str(data.path)!r})).{step}\n"
        "except LaunchError as trouble: print(trouble)\n"
    )
    for folder in (data.path, *data.path.parents):
        if folder.stat().st_uid == os.geteuid() and folder != Path("/"):
            folder.chmod(folder.stat().st_mode | 0o005)
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    whose = data.path if step == "create()" else data.lock
    assert done.stdout == (
        f"{whose} belongs to root, who ran Drawbar here before: run this as that account, "
        "give the folder to yours (chown -R), or choose another one with --data.\n"
    ), done.stderr


@pytest.mark.parametrize("step", ["create", "held"])
def test_read_only_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    data = DataFolder(tmp_path / "data")

    def refuse(path: Path, *_: object, **__: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system", str(path))

    if step == "held":
        data.create()
    monkeypatch.setattr(Path, "mkdir" if step == "create" else "open", refuse)
    words = "is on a disk that is read-only: choose another data folder with --data."
    with pytest.raises(LaunchError, match=words):
        data.create()
        with data.held("here"):
            pass


def test_port_taken(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = manage("up", "--port", str(port), "--data", str(tmp_path))
    assert complaint(done) == (
        f"Port {port} is taken by another program: stop that one, or choose another port, such as --port {port + 1}."
    )


def test_address_of_another_machine(tmp_path: Path) -> None:
    # 192.0.2.0/24 is set aside for documentation (RFC 5737): no machine has it.
    done = manage("up", "--host", "192.0.2.1", "--data", str(tmp_path))
    assert complaint(done).startswith("--host 192.0.2.1 is not an address of this machine")


def test_second_up_on_the_same_folder(tmp_path: Path) -> None:
    data = DataFolder(tmp_path)
    data.create()
    with data.held("http://localhost:8000"):
        done = manage("up", "--port", "8001", "--data", str(tmp_path))
    assert complaint(done) == (
        f"Drawbar already runs on {tmp_path}: http://localhost:8000 (process {os.getpid()}). "
        "Stop that one first, or give this one another folder with --data."
    )


def test_lock_of_an_ended_run_does_not_block(tmp_path: Path) -> None:
    data = DataFolder(tmp_path)
    data.create()
    with data.held("the first"):
        assert data.is_held()
    assert not data.is_held()
    with data.held("the second"):
        assert data.lock.read_text() == f"the second (process {os.getpid()})\n"


def test_data_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    done = manage("up", "--data", str(tmp_path / "file"))
    assert complaint(done) == f"{tmp_path / 'file'} cannot be used as a data folder (File exists)."


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_disk_full_in_the_middle(
    number: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def write_on_a_full_disk(_arguments: object) -> int:
        raise OSError(number, os.strerror(number), "/srv/drawbar/secret.new")

    monkeypatch.setattr(cli, "up", write_on_a_full_disk)
    assert cli.main(["up"]) == 2
    assert capsys.readouterr().err == (
        "drawbar: The disk is full (/srv/drawbar/secret.new). "
        "Make room and run the same command again; nothing is lost.\n"
    )


def test_disk_too_full_to_begin(tmp_path: Path) -> None:
    check_room(tmp_path, 1)
    with pytest.raises(LaunchError, match=r"nearly full: \d+ MB left, 1000000000 MB needed"):
        check_room(tmp_path, 1_000_000_000)


def test_program_that_runs_out_of_room(tmp_path: Path) -> None:
    words = "OSError: [Errno 28] No space left on device: 'wheel'"
    command = [sys.executable, "-c", f"import sys; sys.exit({words!r})"]
    with pytest.raises(LaunchError, match=r"^The disk is full: installing stopped half-way\."):
        run_program(command, tmp_path / "log").require("installing")


def test_no_network_while_installing(tmp_path: Path) -> None:
    """Real pip, with an index at a closed port of this machine."""
    options = ["--index-url", "http://127.0.0.1:9/simple", "--retries", "1", "--disable-pip-version-check"]
    environment = os.environ | {"PIP_CONFIG_FILE": os.devnull}
    log = tmp_path / "install.log"
    command = [str(PYTHON), "-m", "pip", "download", *options, "drawbar-no-such-package"]
    with pytest.raises(LaunchError) as caught:
        run_program(command, log, environment=environment, folder=tmp_path).require("installing the packages")
    assert str(caught.value) == (
        "No network: installing the packages needs one the first time. "
        f"Connect and run the same command again (details: {log})."
    )
    assert "drawbar-no-such-package" in log.read_text()


def test_npm_failure_names_its_log(tmp_path: Path) -> None:
    scripts = {"scripts": {"build": "node -e \"throw Error('no such icon')\""}}
    (tmp_path / "package.json").write_text(json.dumps(scripts))
    command, environment = install.npm("run", "build")
    log = tmp_path / "pwa.log"
    with pytest.raises(LaunchError) as caught:
        run_program(command, log, environment=environment, folder=tmp_path).require("building the app")
    assert str(caught.value) == f"building the app failed: Error: no such icon (details: {log})"


def test_pango_missing_names_the_package_per_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install.ensure_pango(tmp_path)
    monkeypatch.setattr(install, "PANGO_LIBRARIES", (("libdrawbar-no-such.so.0",),))
    monkeypatch.setattr(install, "can_install_debian", lambda: False)
    with pytest.raises(LaunchError) as caught:
        install.ensure_pango(tmp_path)
    words = str(caught.value)
    assert "\n" not in words
    for way in ("apt-get install libpango", "dnf install", "pacman -S", "apk add", "brew install pango"):
        assert way in words


def test_django_command_without_a_running_server(tmp_path: Path) -> None:
    done = manage("showmigrations", DRAWBAR_DATA=str(tmp_path))
    assert complaint(done) == (
        f"No database runs on {tmp_path}: start it with python3 manage.py up in another window, or set DATABASE_URL."
    )


def test_half_given_servers(tmp_path: Path) -> None:
    done = manage("up", "--data", str(tmp_path), "--port", "8001", REDIS_URL="redis://localhost")
    assert complaint(done) == ("Set all of DATABASE_URL, MIGRATE_DATABASE_URL and REDIS_URL, or none of them.")


@pytest.mark.parametrize("port", ["0", "65536", "-1", "http"])
def test_port_that_is_none(port: str) -> None:
    done = manage("up", "--port", port)
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1].endswith(f"{port} is not a port (1 to 65535)") or port == "-1"
