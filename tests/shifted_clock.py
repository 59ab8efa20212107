"""The time in tests: each begins at one instant, whatever the machine's clock shows, and runs on from there.

`core.clock` is the only place of the product that reads the machine's clock; here its reading is replaced by one with a
shift, which each test sets anew. The database, the web server, the worker and the browser get the same shift
(`tests/database.py`, `tests/site_process.py`). Time runs on, since rows are ordered by it; a test that needs another
instant takes one with `core.clock.held_at`.
"""

import os
import time
from datetime import datetime, timedelta
from unittest.mock import patch

from shopapi.core import clock

START = datetime.fromisoformat(os.environ.get("DRAWBAR_TEST_START", "2026-12-08T16:00:00+00:00"))
"""When each test begins: a Tuesday, 10:00 in Chicago, where the shops of most tests are, and 09:00 in Boise.

No zone sets its clocks within a week of it, and everywhere from Hawaii to Poland it is the same day.
"""

_MS = timedelta(milliseconds=1)
_shift: timedelta | None = None


def replace_clock() -> None:
    """From here on `core.clock` reads the shifted clock, which stands still at `START` until the first test begins."""
    patch.object(clock, "machine_time_ns", _shifted_time_ns).start()


def begin_test() -> timedelta:
    """Set the clock to `START`; how far it is ahead of the machine's from here on, in whole milliseconds."""
    global _shift  # noqa: PLW0603 - there is one clock
    ahead = START - clock.EPOCH - timedelta(microseconds=time.time_ns() // 1000)  # noqa: TID251 - what is shifted
    # A browser knows no smaller unit, and all are to agree; never before `START`.
    _shift = -(-ahead // _MS) * _MS
    return _shift


def shift() -> timedelta:
    """How far the clock of this test is ahead of the machine's."""
    assert _shift is not None, "no test has begun"
    return _shift


def _shifted_time_ns() -> int:
    if _shift is None:
        return (START - clock.EPOCH) // _MS * 1_000_000
    return time.time_ns() + _shift // _MS * 1_000_000  # noqa: TID251 - what is shifted
