"""The README's pictures come from the app itself."""

import os
import struct
import subprocess
import sys
from pathlib import Path

from shopapi.demo.scenario import Scenario
from tests.site import LiveSite

NAMES = {
    **dict.fromkeys(("today", "new-job", "job", "quote", "decided", "queue", "customer", "signature"), (360, 740)),
    **dict.fromkeys(("tablet-today", "tablet-job"), (768, 1024)),
    **dict.fromkeys(("desk-today", "desk-jobs", "desk-board", "desk-week"), (1280, 800)),
}


def test_pictures_are_taken_at_three_widths_in_both_schemes(
    live_site: LiveSite, demo_shop: Scenario, tmp_path: Path
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "django", "pictures", "--folder", str(tmp_path)],
        env=dict(os.environ) | {"DRAWBAR_ORIGIN": live_site.base_url},
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
    )
    assert done.returncode == 0, done.stderr
    sizes = {picture.name: _size(picture) for picture in tmp_path.iterdir()}
    assert sizes == {f"{name}-{scheme}.png": size for name, size in NAMES.items() for scheme in ("light", "dark")}


def test_pictures_need_a_site_that_answers(live_site: LiveSite) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "django", "pictures"],
        env=dict(os.environ) | {"DRAWBAR_ORIGIN": "http://localhost:9"},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert "start python3 manage.py up in another window" in done.stderr


def _size(picture: Path) -> tuple[int, ...]:
    """Width and height, from the header of a PNG."""
    return struct.unpack(">II", picture.read_bytes()[16:24])
