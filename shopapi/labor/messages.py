"""English sentences of labor."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
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
