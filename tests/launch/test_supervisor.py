"""Child processes are restarted, stopped in order, and found again after a kill."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from shopapi.launch import supervisor as supervisor_module
from shopapi.launch.paths import ROOT
from shopapi.launch.supervisor import Child, Ended, ProcessSpec, Supervisor, end_leftovers


def service(name: str, program: str, **options: object) -> ProcessSpec:
    return ProcessSpec(name=name, command=[sys.executable, "-c", program], environment=os.environ, **options)  # type: ignore[arg-type] # each test names options that there are


def wait_for(condition: Callable[[], object]) -> None:
    limit = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < limit, "it did not happen within 10 s"
        time.sleep(0.02)


def new_supervisor(folder: Path, order: tuple[str, ...], said: list[str]) -> Supervisor:
    return Supervisor(logs=folder, run=folder, stop_order=order, say=said.append)


SLEEP = "import time; time.sleep(60)"


def test_ended_child_is_restarted(tmp_path: Path) -> None:
    said: list[str] = []
    starts = tmp_path / "starts"
    program = f"open({str(starts)!r}, 'a').write('.'); print('gone'); raise SystemExit(3)"
    boss = new_supervisor(tmp_path, ("clock",), said)
    boss.launch(service("clock", program))
    watching = threading.Thread(target=boss.watch)
    watching.start()
    wait_for(lambda: starts.exists() and len(starts.read_text()) == 3)
    boss.ask_to_stop()
    watching.join()
    boss.stop()
    assert said[:2] == [
        f"clock ended (code 3), starting it again in {delay} s; its log: {tmp_path / 'clock.log'}" for delay in (1, 2)
    ]
    assert (tmp_path / "clock.log").read_text().startswith("gone\ngone\n")


def test_orphans_of_an_ended_child_are_killed_before_its_restart(tmp_path: Path) -> None:
    said: list[str] = []
    program = (
        "import os, time\n"
        "if os.fork(): os._exit(9)\n"
        f"open({str(tmp_path)!r} + '/' + str(os.getpid()) + '.orphan', 'w')\n"
        "time.sleep(60)\n"
    )
    boss = new_supervisor(tmp_path, ("web",), said)
    boss.launch(service("web", program))
    watching = threading.Thread(target=boss.watch)
    watching.start()
    wait_for(lambda: len(list(tmp_path.glob("*.orphan"))) == 2)
    boss.ask_to_stop()
    watching.join()
    boss.stop()
    orphans = [int(path.stem) for path in tmp_path.glob("*.orphan")]
    wait_for(lambda: not any(map(process_lives, orphans)))


def process_lives(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True


def test_children_stop_in_the_given_order(tmp_path: Path) -> None:
    ended = tmp_path / "ended"
    program = (
        "import signal, sys, time\n"
        "def end(*_):\n"
        f"    open({str(ended)!r}, 'a').write(sys.argv[1] + ' ')\n"
        "    sys.exit(0)\n"
        "signal.signal(signal.SIGTERM, end)\n"
        f"open({str(tmp_path)!r} + '/' + sys.argv[1] + '.up', 'w')\n"
        "time.sleep(60)\n"
    )
    boss = new_supervisor(tmp_path, ("web", "worker", "store"), [])
    for name in ("store", "web", "worker"):
        up = tmp_path / f"{name}.up"
        command = [sys.executable, "-c", program, name]
        boss.start(ProcessSpec(name=name, command=command, environment=os.environ, ready=up.exists))
    boss.stop()
    assert ended.read_text() == "web worker store "
    assert not list(tmp_path.glob("*.pid"))


def test_child_that_does_not_stop_is_killed_with_its_children(tmp_path: Path) -> None:
    program = (
        "import os, signal, time\n"
        "signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        "os.fork()\n"
        f"open({str(tmp_path)!r} + '/' + str(os.getpid()) + '.up', 'w')\n"
        "time.sleep(60)\n"
    )
    child = Child(service("stubborn", program, stop_seconds=0.2), logs=tmp_path, run=tmp_path)
    wait_for(lambda: len(list(tmp_path.glob("*.up"))) == 2)
    child.stop()
    assert child.process.returncode == -signal.SIGKILL
    wait_for(lambda: not group_lives(child.process.pid))


def group_lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.parametrize(
    ("program", "end"), [("raise SystemExit('no room')", ": no room"), ("raise SystemExit(1)", "")]
)
def test_child_that_ends_while_starting_names_its_log(tmp_path: Path, program: str, end: str) -> None:
    boss = new_supervisor(tmp_path, ("store",), [])
    (tmp_path / "store.log").write_text("of another run\n")
    with pytest.raises(Ended, match=rf"^store ended while starting; the reason is in {tmp_path}/store.log{end}$"):
        boss.start(service("store", program, ready=lambda: False))


def test_first_start_may_fail_after_a_kill(tmp_path: Path) -> None:
    """As a database does while its old shared memory exists."""
    mark = tmp_path / "second"
    program = (
        "import os, time\n"
        f"if not os.path.exists({str(tmp_path / 'first')!r}):\n"
        f"    open({str(tmp_path / 'first')!r}, 'w'); raise SystemExit(1)\n"
        f"open({str(mark)!r}, 'w'); time.sleep(60)\n"
    )
    boss = new_supervisor(tmp_path, ("store",), [])
    boss.start(service("store", program, ready=mark.exists), attempts=3)
    boss.stop()
    assert mark.exists()


def test_killed_parent_leaves_nothing_running(tmp_path: Path) -> None:
    """SIGKILL of the supervisor: the kernel asks its children to end, which then end as on a stop."""
    child = (
        "import os, signal, sys, time\n"
        "def end(*_):\n"
        f"    open({str(tmp_path)!r} + '/clean', 'w')\n"
        "    sys.exit(0)\n"
        "signal.signal(signal.SIGINT, end)\n"
        f"open({str(tmp_path)!r} + '/up', 'w')\n"
        "time.sleep(60)\n"
    )
    program = (
        "import os, sys, time\n"
        "from pathlib import Path\n"
        "from shopapi.launch.supervisor import Child, ProcessSpec\n"
        f"spec = ProcessSpec(name='web', command=[sys.executable, '-c', {child!r}], environment=os.environ)\n"
        f"Child(spec, logs=Path({str(tmp_path)!r}), run=Path({str(tmp_path)!r}))\n"
        "time.sleep(60)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", program], cwd=ROOT)
    wait_for((tmp_path / "up").exists)
    number = int((tmp_path / "web.pid").read_text())
    assert process_lives(number)
    parent.kill()
    parent.wait()
    wait_for((tmp_path / "clean").exists)
    wait_for(lambda: not is_running(number))


def is_running(number: int) -> bool:
    """Whether a process runs; one that ended and waits for its parent (a zombie, proc_pid_stat(5)) does not."""
    try:
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_leftovers_are_killed_and_a_reused_pid_is_not(tmp_path: Path) -> None:
    # The interpreter must be up: a signal before that ends it in another way.
    ready = tmp_path / "ready"
    left = Child(service("web", f"open({str(ready)!r}, 'w'); {SLEEP}"), logs=tmp_path, run=tmp_path)
    while not ready.exists():
        time.sleep(0.02)
    # A pid file without a lock: its number now belongs to another process, here to this test.
    (tmp_path / "beat.pid").write_text(str(os.getpid()))
    assert end_leftovers(tmp_path) == ["web"]
    assert left.process.wait(5) == -signal.SIGINT
    assert not list(tmp_path.glob("*.pid"))


def test_child_of_a_background_job_ends_on_an_interrupt() -> None:
    """A shell ignores SIGINT for a command that it starts with `&`."""
    program = (
        "import signal, subprocess, sys\n"
        "from shopapi.launch.supervisor import accept_interrupts\n"
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "accept_interrupts()\n"
        "ask = 'import signal; print(signal.getsignal(signal.SIGINT) is signal.SIG_IGN)'\n"
        "subprocess.run([sys.executable, '-c', ask], check=True)\n"
    )
    asked = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert asked.stdout == "False\n"


def test_suite_started_in_the_background_passes() -> None:
    """The tests that end children by SIGINT, run as a shell's background job, alone and handed out by pytest-xdist."""
    ignoring = (
        "import os, signal, sys\n"
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "os.execv(sys.executable, [sys.executable, *sys.argv[1:]])\n"
    )
    names = ("test_killed_parent_leaves_nothing_running", "test_leftovers_are_killed_and_a_reused_pid_is_not")
    # This run's servers and settings are not those of the other.
    given = ("DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL", "SECRET_KEY", "DJANGO_", "DRAWBAR_", "PYTEST_")
    environment = {key: value for key, value in os.environ.items() if not key.startswith(given)}
    for more in ((), ("-n", "1")):
        ran = subprocess.run(
            [sys.executable, "-c", ignoring, "-m", "pytest", "-q", *more, *(f"{__file__}::{name}" for name in names)],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, ran.stdout + ran.stderr
        assert "2 passed" in ran.stdout


def test_large_log_is_rotated_while_its_child_writes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(supervisor_module, "LOG_BYTES", 3)
    go = tmp_path / "go"
    program = (
        "import os, time\n"
        "print('first', flush=True)\n"
        f"while not os.path.exists({str(go)!r}): time.sleep(0.02)\n"
        "print('second', flush=True); time.sleep(60)\n"
    )
    child = Child(service("web", program), logs=tmp_path, run=tmp_path)
    log = tmp_path / "web.log"
    wait_for(lambda: log.read_text() == "first\n")
    child.trim_log()
    go.touch()
    wait_for(lambda: log.read_text() == "second\n")
    child.stop()
    assert (tmp_path / "web.log.1").read_text() == "first\n"
