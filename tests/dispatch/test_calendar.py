"""The feed of a member's runs, read by two independent parsers: icalendar and vobject (RFC 5545)."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject

from shopapi.dispatch.rules.calendar import RunEvent, feed

CHICAGO = ZoneInfo("America/Chicago")
WORDS = "Fetch: #12 mower, behind “Mühle & Söhne”; gate 4, then left\\right"


def _run(number: int, day: date, leaves: datetime | None, home: datetime | None, **more: Any) -> RunEvent:
    fields: dict[str, Any] = {
        "rig": "Blue truck, the long one; with ramp",
        "changed_at": datetime(2026, 3, 1, 9, tzinfo=UTC),
    }
    fields |= {"cancelled": False, "stops": [WORDS * 4, "Bring back: #13 chipper"]}
    instants = {
        "leaves_at": None if leaves is None else leaves.astimezone(UTC),
        "home_at": None if home is None else home.astimezone(UTC),
    }
    return RunEvent(id=UUID(int=number), day=day, **(fields | instants | more))


# America/Chicago springs forward on 8 March 2026 at 2:00 and falls back on 1 November 2026 at 2:00 (IANA tz database).
RUNS = [
    _run(1, date(2026, 3, 7), datetime(2026, 3, 7, 7, tzinfo=CHICAGO), datetime(2026, 3, 7, 15, tzinfo=CHICAGO)),
    _run(2, date(2026, 3, 8), datetime(2026, 3, 8, 1, tzinfo=CHICAGO), datetime(2026, 3, 8, 9, tzinfo=CHICAGO)),
    _run(3, date(2026, 11, 1), datetime(2026, 11, 1, 0, 30, tzinfo=CHICAGO), datetime(2026, 11, 1, 9, tzinfo=CHICAGO)),
    _run(
        4,
        date(2026, 11, 1),
        datetime(2026, 11, 1, 1, 30, tzinfo=CHICAGO),
        datetime(2026, 11, 1, 1, 30, fold=1, tzinfo=CHICAGO),
    ),
    _run(5, date(2026, 11, 1), None, None, cancelled=True, stops=[]),
]


def _by_icalendar(content: bytes) -> list[tuple[Any, ...]]:
    events = icalendar.Calendar.from_ical(content).walk("VEVENT")
    names = ("UID", "SUMMARY", "DESCRIPTION", "STATUS")
    return [
        (event.decoded("DTSTART"), event.decoded("DTEND"), *(str(event.get(name, "")) for name in names))
        for event in events
    ]


def _by_vobject(content: bytes) -> list[tuple[Any, ...]]:
    events = vobject.readOne(content.decode()).vevent_list
    names = ("uid", "summary", "description", "status")
    return [
        (event.dtstart.value, event.dtend.value, *(event.getChildValue(name, "") for name in names)) for event in events
    ]


@pytest.mark.parametrize("read", [_by_icalendar, _by_vobject])
def test_days_on_which_clocks_change_are_read_as_they_are(read: Any) -> None:
    found = read(feed("Bench & Bar", RUNS))

    assert [one[0] for one in found] == [*(run.leaves_at for run in RUNS[:4]), date(2026, 11, 1)]
    assert [one[1] for one in found] == [*(run.home_at for run in RUNS[:4]), date(2026, 11, 2)]
    # Eight hours on an ordinary day; seven where an hour is left out, nine and a half and one where it comes twice.
    lasted = [(one[1] - one[0]) / timedelta(hours=1) for one in found]
    assert lasted == [8, 7, 9.5, 1, 24]
    for run, (_, _, uid, summary, description, status) in zip(RUNS, found, strict=True):
        count = len(run.stops)
        assert uid == f"{run.id}@drawbar"
        assert summary == f"{run.rig}: {count} stop{'' if count == 1 else 's'}"
        assert description == "\n".join(run.stops)
        assert status == ("CANCELLED" if run.cancelled else "CONFIRMED")


def test_lines_are_folded_between_letters() -> None:
    """RFC 5545, section 3.1: at most 75 octets, and no character is split."""
    lines = feed("Bench & Bar", RUNS).split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode()
