"""What a phone has to fetch and run before it shows anything, measured on the built app, so that it does not creep."""

import gzip
import re
from collections.abc import Iterable
from pathlib import Path

from tests.structure.house import ROOT

DIST = ROOT / "pwa" / "dist"
# For a mid-tier phone on a slow line; the whole app is kept by the service worker and may come later.
MOST_AT_START = 80_000
MOST_IN_ALL = 250_000
# What reads codes where the browser does not is larger than the rest, and is fetched by itself.
READER = ("reader-", "zxing_reader-")
STATIC_IMPORT = re.compile(r"""(?:^|[;}])(?:import|export)(?:[^"'()]*?from)?["']\./([^"']+\.js)["']""")


def packed(paths: Iterable[Path]) -> int:
    return sum(len(gzip.compress(path.read_bytes(), 9)) for path in paths)


def started_by(page: str) -> set[Path]:
    """The page's scripts and styles, what those import at once, and the worker that sends and fetches."""
    waiting = [DIST / name for name in re.findall(r'(?:src|href)="/(assets/[^"]+\.(?:js|css))"', page)]
    waiting += DIST.glob("assets/worker-*.js")
    found: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path not in found:
            found.add(path)
            waiting += [path.parent / name for name in STATIC_IMPORT.findall(path.read_text(encoding="utf-8"))]
    return found


def test_the_app_starts_small_and_is_small() -> None:
    index = DIST / "index.html"
    assert index.exists(), "the app is not built: run `npm run build` in pwa"
    at_start = started_by(index.read_text(encoding="utf-8"))
    # The app, its look, its worker.
    assert len(at_start) >= 3
    sizes = {path.name: packed([path]) for path in at_start}
    assert sum(sizes.values()) <= MOST_AT_START, sizes
    left_out = {".br", ".gz", ".map", ".txt"}
    built = [path for path in DIST.rglob("*") if path.is_file() and path.suffix not in left_out]
    assert packed(path for path in built if not path.name.startswith(READER)) <= MOST_IN_ALL
