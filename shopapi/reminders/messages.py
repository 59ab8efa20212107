"""English sentences of reminders."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "not_later": "Choose a day after today.",
    "matter_settled": "What this was about is settled.",
    "not_open": "This was settled or dropped already.",
}
