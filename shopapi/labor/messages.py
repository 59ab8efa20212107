"""English sentences of labor."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Issues about an entry.
    "time_ends_first": ("This time ends before it starts; the phone's clock was changed. When did it really end?"),
    "time_in_future": "This time is in the future; the phone's clock is fast. When was it really?",
    "time_too_long": "This clock ran for more than 24 hours. When did the work stop?",
    "time_clock_set": (
        "The phone's clock was changed by about {minutes} min around then; it's not known exactly when. The phone"
        " showed {shown}; booked is {booked}. Check these hours, and correct them if needed."
    ),
    "time_collides": (
        "Two clocks ran at the same time for one person. Both are kept; pick the right one, or say when they switched."
    ),
    "span_ended": "{start} to {end}",
    "span_running": "{start}, still running",
    "no_start": "no start",
    "wall_time": "{month} {day}, {time}",
    # Refusals of times entered by hand.
    "given_ends_first": "This ends before it starts. Enter a later end.",
    "given_in_future": "That's in the future. Enter a past time.",
    "given_too_long": "This is more than 24 hours. Enter each day separately.",
    "bad_rates": "Enter a type of time and its rate, such as travel:1500,shop:1200.",
    "bad_period": "Pick a last day that is not before the first, at most {longest_period} days in total.",
    "day_far_off": "Pick a day between the years 2 and 9998.",
    "cause_needed": "Enter why it had to be redone.",
    "not_rework": "Only rework has a cause and an entry being redone.",
    "job_needed": "Pick the job this time is for.",
    "no_job": "Shop time has no job; pick another type.",
    "entry_replaced": "This entry has already been replaced; see the one that replaced it.",
    "member_missing": "Pick whose time this is.",
    "not_in_dispute": "Name two entries of one person that are in dispute.",
    "end_needed": "This entry has no end; enter when it ended.",
    "other_needed": "This entry overlaps another; name the other entry and pick the right one, or split them.",
    "outside_of_both": "Enter a time after the first started and before the second ended.",
    "time_taken": "Another entry already has this time; end before it starts, or correct that one first.",
}
