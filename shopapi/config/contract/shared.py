"""Figures, alphabets and lists that server and phone both calculate with: one name, one value, and what it is."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from shopapi.accounts.rules import WEEK_DAYS, FirstShop
from shopapi.core.enums import values_of
from shopapi.core.schema import to_json
from shopapi.dispatch.rules.schemas.stop import Failure, Need, Priority
from shopapi.files.rules import MAX_BYTES as MAX_PICTURE_BYTES
from shopapi.files.rules import MAX_SIDE, THUMBNAIL_SIDE
from shopapi.labor.rules import clock, entry, history, rounding
from shopapi.machines.rules import CODE_LETTERS
from shopapi.notices.rules.notice import TemplateRecord
from shopapi.notices.rules.templates import MOST_SMS
from shopapi.planner.travel import SAME_PLACE_METRES
from shopapi.quotes.rules.checks import MOST_LINES, MOST_ON_A_LINE
from shopapi.quotes.rules.lines import FIGURES, LINE_KINDS, RANKS, QuoteLine
from shopapi.quotes.rules.price_book import RULES_VERSION
from shopapi.quotes.rules.schemas import BOX
from shopapi.sync.rules.clocks import KNOWN_WITHIN_MS, MAX_WITHIN_MS
from shopapi.sync.rules.push import MAX_COMMANDS, MAX_CONTACTS


def _ms(span: timedelta) -> int:
    return span // timedelta(milliseconds=1)


def _shortest(schema: Any, field: str) -> int:
    """How many characters a field of a schema needs."""
    length: int = schema.model_json_schema()["properties"][field]["minLength"]
    return length


def _longest(schema: Any, field: str) -> int:
    """How many characters a field of a schema takes."""
    length: int = schema.model_json_schema()["properties"][field]["maxLength"]
    return length


SHARED: Mapping[str, tuple[Any, str]] = {
    "TAG_LETTERS": (CODE_LETTERS, "The letters of the code on a machine's tag, by value."),
    "STOP_NEEDS": (values_of(Need), "What a stop may need of the rig that comes."),
    "STOP_PRIORITIES": (values_of(Priority), "How soon a stop is wanted, the usual first."),
    "STOP_FAILURES": (values_of(Failure), "Why a stop comes to nothing."),
    "WORK_KINDS": (to_json(list(entry.EntryKind)), "What time may be clocked for."),
    "WORK_OF_A_JOB": ([kind for kind in entry.EntryKind if kind in entry.JOB_KINDS], "Work that names its job."),
    "REWORK_CAUSES": (to_json(list(entry.ReworkCause)), "Why work had to be done again."),
    "CLOCK_AHEAD_MS": (_ms(clock.AHEAD), "A stamp may be this far ahead before it lies in the future."),
    "CLOCK_ALIKE_MS": (_ms(clock.ALIKE), "Two ends of one clock that lie no further apart say the same."),
    "LONGEST_CLOCK_MS": (_ms(clock.LONGEST), "A clock that ran for longer is asked about."),
    "ROUNDING_STEPS": (rounding.STEPS, "Steps of minutes to which some shops round their time."),
    "WEEK_DAYS": (WEEK_DAYS, "A shop's week begins on one of them."),
    "HISTORY": (
        {
            "coverage": history.COVERAGE,
            "miss": history.MISS,
            "enough": history.ENOUGH,
            "shrink": history.SHRINK,
        },
        "How hours to quote are drawn from history: see `labor/rules/history.py`.",
    ),
    "LINE_KINDS": (LINE_KINDS, "In the order in which they are printed."),
    "RANKS": (RANKS, "How much a finding matters, first what matters most."),
    "LINE_FIGURES": (
        {kind: [name for name in QuoteLine.model_fields if name in FIGURES[kind]] for kind in LINE_KINDS},
        "The figures that a line of each kind may carry.",
    ),
    "LONGEST_FOUND": (2000, "So much of a finding's words fits on a line."),
    "MOST_LINES": (MOST_LINES, "Lines on one quote."),
    "MOST_ON_A_LINE": (MOST_ON_A_LINE, "What one line may come to, in minor units."),
    "RULES_VERSION": (RULES_VERSION, "The version of the calculation rules that new quotes follow."),
    "LONGEST_WORDING": (
        {
            "sms": MOST_SMS,
            "subject": _longest(TemplateRecord, "subject"),
            "body": _longest(TemplateRecord, "body"),
        },
        "Characters of a message.",
    ),
    "SAME_PLACE_METRES": (SAME_PLACE_METRES, "Two places this far apart have a road between them."),
    "INK_BOX": (BOX, "Ink is drawn in a box of this many units each way."),
    "SHORTEST_PASSWORD": (_shortest(FirstShop, "password"), "Characters of a password that somebody takes."),
    "PICTURE": (
        {"most_bytes": MAX_PICTURE_BYTES, "longest_side": MAX_SIDE, "longest_side_small": THUMBNAIL_SIDE},
        "Pictures: bytes that are taken, and pixels of what is made of them.",
    ),
    "PUSH": ({"commands": MAX_COMMANDS, "contacts": MAX_CONTACTS}, "At most so many in one push."),
    "CLOCK_KNOWN_WITHIN_MS": (KNOWN_WITHIN_MS, "A phone this close to the server is not corrected."),
    "CONTACT_WITHIN_MS": (MAX_WITHIN_MS, "An exchange that took longer than twice this measures nothing."),
}
