"""What a shop is to come back to: why each follow-up exists, and the shapes of follow-ups."""

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from typing import Any, Literal
from uuid import UUID

from shopapi.core.shape import Row, Shape


class Kind(StrEnum):
    """The matters that bring a follow-up about; the days of each are the shop's (`accounts.rules.FollowUpDays`)."""

    QUOTE_UNANSWERED = "quote_unanswered"
    QUOTE_LAPSING = "quote_lapsing"
    CLOCK_RUNNING = "clock_running"
    PROMISED_NEAR = "promised_near"
    JOB_STILL = "job_still"
    CHECK_IN = "check_in"
    SAFETY_DECLINED = "safety_declined"
    SERVICE_DUE = "service_due"


class FollowUpState(StrEnum):
    """open: to be done from its day on. done: its matter is settled. dropped: a person wants it no more."""

    OPEN = "open"
    DONE = "done"
    DROPPED = "dropped"


FOLLOW_UP_TRANSITIONS: Mapping[FollowUpState, frozenset[FollowUpState]] = {
    FollowUpState.OPEN: frozenset({FollowUpState.DONE, FollowUpState.DROPPED}),
    FollowUpState.DROPPED: frozenset({FollowUpState.OPEN}),
    FollowUpState.DONE: frozenset(),
}

WHY: Mapping[Kind, str] = {
    Kind.QUOTE_UNANSWERED: "Quote {number} for {owner} was offered on {on} and has no answer.",
    Kind.QUOTE_LAPSING: "Quote {number} for {owner} holds until {on} and has no answer.",
    Kind.CLOCK_RUNNING: "The clock of {member} has run since {on} without an end.",
    Kind.PROMISED_NEAR: "{job}, {machine} of {owner}, is promised for {on} and is not ready.",
    Kind.JOB_STILL: "Nothing has moved on {job}, {machine} of {owner}, since {on}.",
    Kind.CHECK_IN: "{machine} of {owner} went back on {on}: ask how it runs.",
    Kind.SAFETY_DECLINED: "{owner} declined work on a safety device of {machine} on {on}: {finding}",
    Kind.SERVICE_DUE: "{machine} of {owner} was last here on {on}: offer a service for the season.",
}


def why(kind: str, facts: Mapping[str, Any]) -> str:
    """Why a follow-up exists, in words with its facts. A fact that is not there is left out, never an error.

    >>> why("quote_unanswered", {"number": "Q-7", "owner": "Winnie Stroud", "on": "2026-05-01"})
    'Quote Q-7 for Winnie Stroud was offered on 2026-05-01 and has no answer.'
    """
    words = WHY[Kind(kind)]
    for name, value in facts.items():
        words = words.replace(f"{{{name}}}", str(value).replace("{", "(").replace("}", ")"))
    return words


class FollowUpRow(Row):
    """Something to come back to from a day on. `on` is the day that `why` tells of."""

    kind: Literal[
        "quote_unanswered",
        "quote_lapsing",
        "clock_running",
        "promised_near",
        "job_still",
        "check_in",
        "safety_declined",
        "service_due",
    ]
    about_kind: str
    about_id: UUID
    job_id: UUID | None
    customer_id: UUID | None
    member_id: UUID | None
    due_on: date
    until: date | None
    why: str
    state: Literal["open", "done", "dropped"]


class PutOff(Shape):
    """Come back to it on a later day."""

    id: UUID
    until: date
