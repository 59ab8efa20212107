"""Issues about clocked time: codes with values, with the same texts as before there were codes."""

from datetime import datetime

from shopapi.core.errors import pack, unpack
from shopapi.core.rendering import plain_context, render, show_stored
from shopapi.labor.rules.clock import clock_set_reason


def test_a_clock_that_was_set_is_reported_with_what_it_showed_and_what_is_booked() -> None:
    shown = datetime.fromisoformat("2026-05-04T15:00Z"), None
    booked = datetime.fromisoformat("2026-05-04T17:00Z"), datetime.fromisoformat("2026-05-05T01:30Z")
    reason = clock_set_reason(shown, booked, 7_200_000, "America/Boise")
    assert render(unpack(pack(reason))) == (
        "The phone's clock was changed by about 120 min around then; it's not known exactly when. The phone showed"
        " May 4, 09:00, still running; booked is May 4, 11:00 to May 4, 19:30."
        " Check these hours, and correct them if needed."
    )
    # In the response the parts are texts.
    assert plain_context(reason.context) == {
        "minutes": 120,
        "shown": "May 4, 09:00, still running",
        "booked": "May 4, 11:00 to May 4, 19:30",
    }


def test_a_span_without_its_start_says_so() -> None:
    reason = clock_set_reason((None, None), (datetime.fromisoformat("2026-05-04T17:00Z"), None), 60_000, "UTC")
    assert "The phone showed no start, still running; booked is May 4, 17:00, still running." in render(reason)


def test_an_issue_from_before_there_were_codes_is_shown_as_it_stands() -> None:
    old = '{"code": "time_too_long", "text": "This clock ran for more than 24 hours. Say when the work stopped."}'
    assert show_stored(old) == "This clock ran for more than 24 hours. Say when the work stopped."
