"""`manage.py up`: on an empty folder, stopped, killed and restarted, and on a copy of its folder."""

import http.client
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shopapi.launch.paths import ROOT

SERVICES = {"web", "beat", "worker", "valkey", "postgres"}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def plain_environment() -> dict[str, str]:
    """The environment without this test run's servers."""
    ours = {"DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL", "DRAWBAR_ORIGIN", "DRAWBAR_DATA", "SECRET_KEY"}
    return {key: value for key, value in os.environ.items() if key not in ours}


@contextmanager
def running(data: Path, port: int, output: Path) -> Iterator[subprocess.Popen[bytes]]:
    """An `up` that has said it is ready."""
    environment = plain_environment()
    command = [sys.executable, str(ROOT / "manage.py"), "up", "--port", str(port), "--data", str(data)]
    with output.open("wb") as file:
        process = subprocess.Popen(command, env=environment, stdout=file, stderr=file)
    try:
        limit = time.monotonic() + 120
        while "Drawbar is ready" not in output.read_text():
            assert process.poll() is None, output.read_text()
            assert time.monotonic() < limit, output.read_text()
            time.sleep(0.05)
        yield process
    finally:
        process.terminate()
        process.wait(60)


def groups(data: Path) -> dict[str, int]:
    return {path.stem: int(path.read_text()) for path in (data / "run").glob("*.pid")}


def lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def runs(group: int) -> bool:
    """Whether a process of the group runs; one that ended and waits for its parent (a zombie) does not."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, number = stat.read_text().rpartition(")")[2].split()[:3]
        except OSError:
            continue
        if int(number) == group and state != "Z":
            return True
    return False


def get(port: int, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("localhost", port, timeout=10)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def sign_in_to_demo(port: int) -> int:
    """The status of a sign-in like the page's: first the CSRF token, then the password."""
    connection = http.client.HTTPConnection("localhost", port, timeout=10)
    try:
        connection.request("GET", "/api/v1/session")
        answer = connection.getresponse()
        token = json.loads(answer.read())["csrf"]
        cookies = [value.split(";")[0] for name, value in answer.getheaders() if name == "Set-Cookie"]
        connection.request(
            "POST",
            "/api/v1/session",
            json.dumps({"email": "owner@demo.example", "password": "drawbar-demo"}),
            {
                "Content-Type": "application/json",
                "Cookie": "; ".join(cookies),
                "Origin": f"http://localhost:{port}",
                "X-CSRF-Token": token,
            },
        )
        return connection.getresponse().status
    finally:
        connection.close()


def test_up_recovers_after_kills_and_stops_completely(tmp_path: Path) -> None:
    data, port = tmp_path / "data", free_port()

    with running(data, port, tmp_path / "first") as up:
        assert f"Drawbar is ready: http://localhost:{port}\n" in (tmp_path / "first").read_text()
        assert get(port, "/")[0] == 200
        assert get(port, "/readyz")[0] == 200
        assert sign_in_to_demo(port) == 200
        assert (data / "secret").stat().st_mode & 0o777 == 0o600
        assert (data / "env").stat().st_mode & 0o777 == 0o600
        left = groups(data)
        assert set(left) == SERVICES
        up.kill()
        up.wait(10)
        limit = time.monotonic() + 30
        while any(map(runs, left.values())):
            assert time.monotonic() < limit, "a child outlived its killed supervisor"
            time.sleep(0.1)

        with running(data, port, tmp_path / "second") as again:
            assert "left over" not in (tmp_path / "second").read_text()
            assert sign_in_to_demo(port) == 200
            # A power cut: everything is killed at once.
            again.kill()
            for group in groups(data).values():
                os.killpg(group, signal.SIGKILL)

    # A backup as in the README: the whole folder with the owners of its files.
    subprocess.run(["cp", "-a", str(data), str(tmp_path / "copy")], check=True)
    shutil.rmtree(data)
    data = tmp_path / "copy"
    with running(data, port, tmp_path / "third") as up:
        assert sign_in_to_demo(port) == 200
        backup = subprocess.run(
            [sys.executable, str(ROOT / "manage.py"), "backup", "restored"],
            env=plain_environment() | {"DRAWBAR_DATA": str(data)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert backup.stdout == "Shops: 1. Phones load everything again and resend what they stored.\n", backup.stderr
        last = groups(data)
        assert set(last) == SERVICES
        up.send_signal(signal.SIGTERM)
        assert up.wait(60) == 0
    assert (tmp_path / "third").read_text().endswith("Stopped.\n")
    assert not any(map(lives, last.values())), "a child outlived its supervisor"
    assert groups(data) == {}
