"""The machine's clock is read in one place, which tests replace; else a test would depend on when it is run."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
READS = {
    "datetime.date.today",
    "datetime.datetime.now",
    "datetime.datetime.today",
    "datetime.datetime.utcnow",
    "django.utils.timezone.localdate",
    "django.utils.timezone.localtime",
    "django.utils.timezone.now",
    "email.utils.formatdate",
    "email.utils.localtime",
    "time.asctime",
    "time.clock_gettime",
    "time.clock_gettime_ns",
    "time.ctime",
    "time.gmtime",
    "time.localtime",
    "time.strftime",
    "time.time",
    "time.time_ns",
    "uuid.uuid1",
}
"""`time.monotonic` and `time.perf_counter` measure lengths of time and tell none."""

READERS = {
    "shopapi/core/clock.py": "the place itself",
    "shopapi/config/web_worker.py": "compares with the times that Waitress stamps on its connections",
    "tests/shifted_clock.py": "shifts it for the process of the tests",
    "tests/site_process.py": "shifts it for the processes of the site",
}


def test_the_machines_clock_is_read_in_named_places_alone() -> None:
    found = {str(path.relative_to(ROOT)) for path in _sources() if readings(ast.parse(path.read_text()))}
    assert found == set(READERS)


@pytest.mark.parametrize(
    "source",
    [
        "import time\ntime.time()",
        "from time import time as present\npresent()",
        "import datetime\ndatetime.datetime.now(datetime.UTC)",
        "from datetime import datetime as instant\ninstant.now()",
        "import datetime as dt\nask = dt.date.today",
        "from django.utils import timezone\nfield(default=timezone.now)",
        "from django.utils.timezone import now\nnow()",
        "from datetime import *",
    ],
)
def test_every_way_to_read_it_is_found(source: str) -> None:
    assert readings(ast.parse(source))


def test_what_only_measures_or_has_the_same_name_is_no_reading() -> None:
    source = "import time\nfrom datetime import time as at\nfrom shopapi.core.clock import now\n"
    assert not readings(ast.parse(source + "now(), at(7), time.monotonic(), row.time.time(), plan.now()"))


def readings(tree: ast.AST) -> set[str]:
    """The functions that read the machine's clock and are named in a module, whatever they were imported as."""
    imported = dict(_imports(tree))
    named = {_full_name(node, imported) for node in ast.walk(tree) if isinstance(node, ast.Attribute | ast.Name)}
    modules = {name.rsplit(".", depth)[0] for name in READS for depth in (1, 2)}
    return named & READS | {name for name in imported.values() if name.removesuffix(".*") in modules and "*" in name}


def _imports(tree: ast.AST) -> Iterator[tuple[str, str]]:
    """What each imported name stands for."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                top = alias.name.split(".")[0]
                yield (alias.asname, alias.name) if alias.asname else (top, top)
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            for alias in node.names:
                yield alias.asname or alias.name, f"{node.module}.{alias.name}"


def _full_name(node: ast.expr, imported: dict[str, str]) -> str:
    if isinstance(node, ast.Attribute):
        return f"{_full_name(node.value, imported)}.{node.attr}"
    return imported.get(node.id, "") if isinstance(node, ast.Name) else ""


def _sources() -> Iterator[Path]:
    yield ROOT / "manage.py"
    for folder in ("shopapi", "tests", ".ci"):
        yield from (ROOT / folder).rglob("*.py")
