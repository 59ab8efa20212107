"""English sentences of reminders."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "not_later": "Pick a day after today.",
    "matter_settled": "This is already taken care of.",
    "not_open": "This was already settled or dismissed.",
}
