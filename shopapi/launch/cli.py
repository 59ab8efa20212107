"""The command line of `manage.py`."""

import argparse
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from types import FrameType

from shopapi.launch.errors import LaunchError
from shopapi.launch.paths import PYTHON, ROOT, DataFolder, disk_full
from shopapi.launch.suite import set_up, test, test_long
from shopapi.launch.supervisor import accept_interrupts
from shopapi.launch.up import up

USAGE = """\
python3 manage.py up [--port 8000] [--host 127.0.0.1] [--data var] [--no-demo]
    set up what is missing, then run Drawbar; Ctrl-C stops it
python3 manage.py test [pytest arguments]
    set up what is missing, then run every test (with arguments: pytest alone, with them);
    --coverage notes which lines ran, --setup-only runs none
python3 manage.py test --long [app or rule module ...]
    the runs that take hours: kills, random walks, and mutants of the rules
python3 manage.py COMMAND ...
    any Django command, in .venv, on the database of a running `up` or of DATABASE_URL
"""
INTERRUPTED = 130
# Commands that use no database. The settings still need addresses, so these get placeholders.
NO_DATABASE = {"help", "plan"}
NOWHERE = {
    "SECRET_KEY": "nothing is signed with this key, since nothing is asked",
    "DATABASE_URL": "postgresql://nobody@localhost:1/nothing",
    "MIGRATE_DATABASE_URL": "postgresql://nobody@localhost:1/nothing",
    "REDIS_URL": "redis://localhost:1/0",
}


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit code. 2: something must be corrected first; the output says what."""
    accept_interrupts()
    try:
        return _dispatch(list(arguments))
    except LaunchError as trouble:
        return _complain(str(trouble))
    except OSError as error:
        full = disk_full(error)
        if full is None:
            raise
        return _complain(str(full))
    except KeyboardInterrupt:
        return INTERRUPTED


def _complain(words: str) -> int:
    print(f"drawbar: {words}", file=sys.stderr, flush=True)
    return 2


def _dispatch(arguments: list[str]) -> int:
    match arguments:
        case ["up", *rest]:
            signal.signal(signal.SIGTERM, _interrupt)
            return up(_parse_up(rest))
        case ["test", "--setup-only"]:
            set_up()
            return 0
        case ["test", "--coverage"]:
            return test([], coverage=True)
        case ["test", "--long", *rest]:
            return test_long(rest)
        case ["test", *rest]:
            return test(rest, coverage=False)
        case [] | ["help" | "--help" | "-h"]:
            print(USAGE, flush=True)
            return _django(["help"]) if PYTHON.exists() else 0
        case _:
            return _django(arguments)


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _parse_up(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="manage.py up", description="Set up what is missing, run Drawbar.")
    parser.add_argument("--port", type=_port, default=8000, help="port of the web server (8000)")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1, this machine)")
    parser.add_argument("--data", type=Path, default=ROOT / "var", help="folder of database and files (var)")
    parser.add_argument("--no-demo", dest="demo", action="store_false", help="start without the demo shop")
    return parser.parse_args(arguments)


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is not a port (1 to 65535)")
    return int(text)


def _django(arguments: Sequence[str]) -> int:
    """Hand over to Django; returns only when something is missing."""
    if not PYTHON.exists():
        raise LaunchError("Nothing is installed yet: run python3 manage.py up first.")
    environment = {"DJANGO_SETTINGS_MODULE": "shopapi.config.settings", "PYTHONPATH": str(ROOT)} | os.environ
    if arguments[0] in NO_DATABASE or arguments[:2] == ["benchmark", "dispatch"]:
        environment = NOWHERE | environment
    elif not os.environ.get("DATABASE_URL"):
        data = DataFolder(Path(os.environ.get("DRAWBAR_DATA") or ROOT / "var").resolve())
        if not data.is_held() or not data.environment_file.exists():
            raise LaunchError(
                f"No database runs on {data.path}: start it with python3 manage.py up in another window, "
                "or set DATABASE_URL."
            )
        environment |= data.read_environment()
    os.execve(PYTHON, [str(PYTHON), "-m", "django", *arguments], environment)
