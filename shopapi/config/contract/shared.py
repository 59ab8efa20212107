"""Constants that server and phone both use: name, value, description."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from shopapi.accounts.rules import SET_UP_STEPS, WEEK_DAYS, FirstShop, starting_calendar
from shopapi.bench.rules.labels import MAX_BAG, MAX_LABELS
from shopapi.core.enums import values_of
from shopapi.core.schema import to_json
from shopapi.customers.rules.customer import PLACE_NAME_CHARACTERS
from shopapi.customers.rules.import_schemas import MAX_UPLOAD_BYTES
from shopapi.dispatch.rules.check_in import GUARD_ITEMS, LONGEST_WORDS
from shopapi.dispatch.rules.hand_over_sheet import ASKED
from shopapi.dispatch.rules.planning_model import FETCH_MINUTES
from shopapi.dispatch.rules.run_sheet import STOP_SPANS
from shopapi.dispatch.rules.schemas.stop import Failure, Need, Priority
from shopapi.files.rules import MAX_BYTES as MAX_PICTURE_BYTES
from shopapi.files.rules import MAX_SIDE, THUMBNAIL_SIDE
from shopapi.files.rules.voice_notes import MAX_VOICE_BYTES, MAX_VOICE_SECONDS
from shopapi.labor.rules import clock, entry, history, rounding
from shopapi.machines.rules import CODE_LETTERS, season
from shopapi.machines.rules.next_service import ENOUGH_MACHINES
from shopapi.notices.rules.notice import TemplateRecord
from shopapi.notices.rules.templates import ASKING, MOST_SMS
from shopapi.parts.rules import lead_times
from shopapi.parts.rules.need_by import HOURS_PER_DAY
from shopapi.parts.rules.needs import WAITED_FOR
from shopapi.planner.travel import SAME_PLACE_METRES
from shopapi.quotes.rules.checks import MOST_LINES, MOST_ON_A_LINE
from shopapi.quotes.rules.confirmed import PRICE_PARTS
from shopapi.quotes.rules.lines import FIGURES, LINE_KINDS, RANKS, QuoteLine
from shopapi.quotes.rules.price_book import RULES_VERSION, TaxedKind
from shopapi.quotes.rules.schemas import BOX
from shopapi.sync.rules.clocks import KNOWN_WITHIN_MS, MAX_WITHIN_MS
from shopapi.sync.rules.push import MAX_COMMANDS, MAX_CONTACTS


def _ms(span: timedelta) -> int:
    return span // timedelta(milliseconds=1)


def _shortest(schema: Any, field: str) -> int:
    """The minimum length of a text field."""
    length: int = schema.model_json_schema()["properties"][field]["minLength"]
    return length


def _longest(schema: Any, field: str) -> int:
    """The maximum length of a text field."""
    length: int = schema.model_json_schema()["properties"][field]["maxLength"]
    return length


SHARED: Mapping[str, tuple[Any, str]] = {
    "PARTS_WAITED_FOR": (WAITED_FOR, "A job waits on parts while one that it needs is in one of these states."),
    "TAG_LETTERS": (CODE_LETTERS, "The letters of the code on a machine's tag, by value."),
    "PLACE_NAME_CHARACTERS": (PLACE_NAME_CHARACTERS, "How much of an address names a place."),
    "FETCH_MINUTES": (FETCH_MINUTES, "How long fetching parts takes where the supplier says nothing else."),
    "STOP_NEEDS": (values_of(Need), "What a stop may need of its rig."),
    "STOP_PRIORITIES": (values_of(Priority), "Priorities of a stop, the usual one first."),
    "STOP_SPANS": (STOP_SPANS, "What the spans of time of a stop are called, on screens and on paper."),
    "STOP_FAILURES": (values_of(Failure), "Why a stop fails."),
    "HAND_OVER_STEPS": (ASKED, "What is asked at each kind of hand-over, one screen each."),
    "GUARD_ITEMS": (
        to_json(dict(GUARD_ITEMS)),
        "The safety item that a missing or damaged guard at check-in becomes, by state.",
    ),
    "LONGEST_WORDS": (LONGEST_WORDS, "The most characters of a finding."),
    "WORK_KINDS": (to_json(list(entry.EntryKind)), "Kinds of work in a time entry."),
    "WORK_OF_A_JOB": (
        [kind for kind in entry.EntryKind if kind in entry.JOB_KINDS],
        "Kinds of work that belong to a job.",
    ),
    "REWORK_CAUSES": (to_json(list(entry.ReworkCause)), "Why work had to be done again."),
    "CLOCK_AHEAD_MS": (_ms(clock.AHEAD), "How far ahead of now a timestamp may be."),
    "CLOCK_ALIKE_MS": (_ms(clock.ALIKE), "Two ends of one clock no further apart than this count as equal."),
    "LONGEST_CLOCK_MS": (_ms(clock.LONGEST), "A clock that ran longer than this needs review."),
    "ROUNDING_STEPS": (rounding.STEPS, "Steps of minutes to which some shops round their time."),
    "SET_UP_STEPS": (SET_UP_STEPS, "What a new shop is led through, in that order."),
    "WEEK_DAYS": (WEEK_DAYS, "The days on which a shop's week may begin."),
    "HISTORY": (
        {
            "coverage": history.COVERAGE,
            "miss": history.MISS,
            "enough": history.ENOUGH,
            "shrink": history.SHRINK,
        },
        "Parameters of the suggested hours: see `labor/rules/history.py`.",
    ),
    "STARTING_CALENDAR": (starting_calendar(), "The calendar of a shop that has not set its own."),
    "LEAD_TIMES": (
        {
            "enough_arrivals": lead_times.ENOUGH_ARRIVALS,
            "most_waits": lead_times.MOST_WAITS,
            "hours_per_day": int(HOURS_PER_DAY),
        },
        "Parameters of lead times and promises: see `parts/rules/lead_times.py` and `need_by.py`.",
    ),
    "NEXT_SERVICE": (
        {
            "own_days": season.OF_ITS_OWN,
            "farthest_apart": season.FARTHEST_APART,
            "shortest_span": season.SHORTEST_SPAN,
            "enough_machines": ENOUGH_MACHINES,
        },
        "Parameters of the forecast of services: see `machines/rules/season.py` and `next_service.py`.",
    ),
    "LINE_KINDS": (LINE_KINDS, "Kinds of lines, in the order in which they are printed."),
    "TAXED_KINDS": (values_of(TaxedKind), "Kinds of lines that a tax rate may be limited to."),
    "RANKS": (RANKS, "Ranks of a finding, the most important first."),
    "LINE_FIGURES": (
        {kind: [name for name in QuoteLine.model_fields if name in FIGURES[kind]] for kind in LINE_KINDS},
        "The figures that a line of each kind may carry.",
    ),
    "LONGEST_FOUND": (2000, "Characters of a finding's text on a line of a quote."),
    "MOST_LINES": (MOST_LINES, "The most lines on one quote."),
    "MOST_ON_A_LINE": (MOST_ON_A_LINE, "The largest total of one line, in minor units."),
    "PRICE_PARTS": (
        PRICE_PARTS,
        "The parts of a price book that a person confirms, in order.",
    ),
    "RULES_VERSION": (RULES_VERSION, "The version of the calculation rules that new quotes follow."),
    "ASKING_MESSAGES": (ASKING, "Messages that ask for the decision of a quote."),
    "LONGEST_WORDING": (
        {
            "sms": MOST_SMS,
            "subject": _longest(TemplateRecord, "subject"),
            "body": _longest(TemplateRecord, "body"),
        },
        "The most characters of a message.",
    ),
    "SAME_PLACE_METRES": (SAME_PLACE_METRES, "Two places at least this far apart cannot have a road of length 0."),
    "INK_BOX": (BOX, "The width and height of the box of a signature."),
    "SHORTEST_PASSWORD": (_shortest(FirstShop, "password"), "The fewest characters of a new password."),
    "PICTURE": (
        {"most_bytes": MAX_PICTURE_BYTES, "longest_side": MAX_SIDE, "longest_side_small": THUMBNAIL_SIDE},
        "Pictures: the most bytes of an upload, and the longest side of the processed ones in pixels.",
    ),
    "VOICE_NOTE": (
        {"most_seconds": MAX_VOICE_SECONDS, "most_bytes": MAX_VOICE_BYTES},
        "Voice notes: the longest that is recorded, and the most bytes that the server keeps.",
    ),
    "LABELS": (
        {"most": MAX_LABELS, "most_bag": MAX_BAG},
        "Labels: the most on one sheet, and the highest number of a bag.",
    ),
    "LARGEST_ADDRESS_BOOK": (MAX_UPLOAD_BYTES, "The most bytes of an address book to import."),
    "PUSH": ({"commands": MAX_COMMANDS, "contacts": MAX_CONTACTS}, "The most commands and exchanges in one push."),
    "CLOCK_KNOWN_WITHIN_MS": (KNOWN_WITHIN_MS, "A phone this close to the server is not corrected."),
    "CONTACT_WITHIN_MS": (MAX_WITHIN_MS, "An exchange that took longer than twice this is not used."),
}
