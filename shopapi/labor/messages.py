"""English sentences of labor."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Issues about an entry.
    "time_ends_first": (
        "This time ends before it begins: the phone's clock was set meanwhile. Say when it really ended."
    ),
    "time_in_future": "This time lies in the future: the phone's clock is ahead. Say when it really was.",
    "time_too_long": "This clock ran for more than 24 hours. Say when the work stopped.",
    "time_clock_set": (
        "The phone's clock was set by about {minutes} min around then, and it is not known when. The phone showed"
        " {shown}; booked is {booked}. Check these hours, and correct them if needed."
    ),
    "time_collides": (
        "Two clocks of one person ran at the same time. Both are kept; say which holds, or where one gave way."
    ),
    "span_ended": "{start} to {end}",
    "span_running": "{start}, still running",
    "no_start": "no start",
    "wall_time": "{month} {day}, {time}",
    # Refusals of times entered by hand.
    "given_ends_first": "This ends before it begins; give a later end.",
    "given_in_future": "This lies in the future; give a time that has been.",
    "given_too_long": "This is longer than 24 hours; write down each day by itself.",
    "bad_rates": "Write a kind of time and its rate, such as travel:1500,shop:1200.",
    "bad_period": "Take a last day that is not before the first, and at most {longest_period} days in all.",
    "day_far_off": "Take a day between the years 2 and 9998.",
    "cause_needed": "Say why it had to be done again.",
    "not_rework": "Only rework has a cause and an entry it repairs.",
    "job_needed": "Say which job this time is for.",
    "no_job": "Time for the shop itself is on no job; take another kind.",
    "entry_replaced": "This entry has been replaced already; look at the one that took its place.",
    "member_missing": "Say whose time this is.",
    "not_in_dispute": "Name two entries of one person that are in dispute.",
    "end_needed": "This entry has no end to take; say when it ended.",
    "other_needed": "This entry shares its time with another; name the other entry and say which holds, or split them.",
    "outside_of_both": "Give a time after the first began and before the second ended.",
    "time_taken": "Another entry has this time already; end before it begins, or put that one right first.",
}
