"""Kinds, states and schemas of follow-ups, and the texts of their reasons."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Row, Schema
from shopapi.documents.rules import Figures

# Facts that are days.
DAYS = ("on", "until", "last")
ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")


class FollowUpKind(TextEnum):
    """Kinds of matters that call for a follow-up; their days are set by the shop (`accounts.rules.FollowUpDays`).

    Those of payment_late are the stages of the shop's billing settings.
    """

    QUOTE_UNANSWERED = "quote_unanswered"
    QUOTE_LAPSING = "quote_lapsing"
    CLOCK_RUNNING = "clock_running"
    PROMISED_NEAR = "promised_near"
    JOB_STILL = "job_still"
    CHECK_IN = "check_in"
    SAFETY_DECLINED = "safety_declined"
    SERVICE_DUE = "service_due"
    NEXT_SERVICE = "next_service"
    ORDER_OVERDUE = "order_overdue"
    PROMISE_AT_RISK = "promise_at_risk"
    PAYMENT_LATE = "payment_late"


class FollowUpState(TextEnum):
    """open: due from its day on. done: its matter is over. dropped: a person does not want it."""

    OPEN = "open"
    DONE = "done"
    DROPPED = "dropped"


FOLLOW_UP_TRANSITIONS: Mapping[FollowUpState, frozenset[FollowUpState]] = {
    FollowUpState.OPEN: frozenset({FollowUpState.DONE, FollowUpState.DROPPED}),
    FollowUpState.DROPPED: frozenset({FollowUpState.OPEN}),
    FollowUpState.DONE: frozenset(),
}

SERVICE_REASONS: Mapping[str, str] = {
    "readings": "{machine} of {customer}: {what} due about {on}. By its meter, {hours} h since {last}.",
    "two_readings": "{machine} of {customer}: {what} due about {on}. By two meter readings, {hours} h since {last}.",
    "other_machines": (
        "{machine} of {customer}: {what} due about {on}. At the pace of others of its kind, {hours} h since {last}."
    ),
    "months": "{machine} of {customer}: {what} due on {on}, {months} months since {last}.",
}
"""The reason of a service that is due, by what its forecast is from."""

OVERDUE_REASONS: Mapping[str, str] = {
    "supplier": "Order {order} from {supplier}: {what} not here. They said {on}.",
    "history": "Order {order} from {supplier}: {what} not here. {percent}% of their parts have come by {on}.",
}
"""The reason of an overdue order, by what its day is from."""

RISK_REASONS: Mapping[str, str] = {
    "chance": "{job}, {machine} of {customer}: promised for {on}. {percent}% chance that {what} comes in time.",
    "unknown": "{job}, {machine} of {customer}: promised for {on}. Nobody can say when {what} comes.",
}
"""The reason of a promise at risk, by whether the chance is known."""

REASON_TEMPLATES: Mapping[FollowUpKind, str] = {
    FollowUpKind.QUOTE_UNANSWERED: "Quote {number} for {customer}: quoted on {on}, no answer yet.",
    FollowUpKind.QUOTE_LAPSING: "Quote {number} for {customer}: good until {on}, no answer yet.",
    FollowUpKind.CLOCK_RUNNING: "{member}'s clock has been running since {on}.",
    FollowUpKind.PROMISED_NEAR: "{job}, {machine} of {customer}: promised for {on}, not ready.",
    FollowUpKind.JOB_STILL: "No progress on {job}, {machine} of {customer}, since {on}.",
    FollowUpKind.CHECK_IN: "{machine} of {customer} went back on {on}: ask how it's running.",
    FollowUpKind.SAFETY_DECLINED: "{customer} declined a safety repair on {machine} on {on}: {finding}",
    FollowUpKind.SERVICE_DUE: "{machine} of {customer}: last here on {on}. Offer a service for the season.",
    FollowUpKind.NEXT_SERVICE: "{machine} of {customer}: {what} due about {on}, last done on {last}.",
    FollowUpKind.ORDER_OVERDUE: "Order {order} from {supplier}: {what} not here by {on}.",
    FollowUpKind.PROMISE_AT_RISK: "{job}, {machine} of {customer}: promised for {on}, still waiting for {what}.",
    FollowUpKind.PAYMENT_LATE: "Invoice {number} of {customer}: {open} open, due {on}.",
}

REASONS_BY_SOURCE: Mapping[FollowUpKind, Mapping[str, str]] = {
    FollowUpKind.NEXT_SERVICE: SERVICE_REASONS,
    FollowUpKind.ORDER_OVERDUE: OVERDUE_REASONS,
    FollowUpKind.PROMISE_AT_RISK: RISK_REASONS,
}
"""More exact reasons of a kind, by the fact `from`."""


def follow_up_reason(kind: str, facts: Mapping[str, Any], figures: Figures) -> str:
    """The reason of a follow-up as a sentence with its facts. A missing fact leaves its placeholder; never an error.

    >>> facts = {"number": "Q-7", "customer": "Winnie Stroud", "on": "2026-05-01"}
    >>> follow_up_reason("quote_unanswered", facts, Figures("en-US", "USD", "America/Chicago"))
    'Quote Q-7 for Winnie Stroud: quoted on May 1, 2026, no answer yet.'
    """
    words = REASON_TEMPLATES[FollowUpKind(kind)]
    words = REASONS_BY_SOURCE.get(FollowUpKind(kind), {}).get(str(facts.get("from")), words)
    for name, value in worded_days(facts, figures).items():
        words = words.replace(f"{{{name}}}", str(value).replace("{", "(").replace("}", ")"))
    return words


def worded_days(facts: Mapping[str, Any], figures: Figures) -> dict[str, Any]:
    """The facts with their days as people of the shop write them; stored are ISO 8601 and, of a clock, the time too.

    >>> worded_days({"on": "2026-05-01 08:05", "job": "J-7"}, Figures("en-GB", "GBP", "Europe/London"))
    {'on': '1 May 2026, 08:05', 'job': 'J-7'}
    """
    return {name: _worded_day(value, figures) if name in DAYS else value for name, value in facts.items()}


def _worded_day(value: Any, figures: Figures) -> Any:
    day, _, time = str(value).partition(" ")
    if not ISO_DAY.fullmatch(day):
        return value
    words = figures.day(date.fromisoformat(day))
    return f"{words}, {time}" if time else words


class FollowUpRow(Row):
    """A follow-up as devices see it; `why` is its reason as a sentence."""

    kind: FollowUpKind
    about_kind: str
    about_id: UUID
    job_id: UUID | None
    customer_id: UUID | None
    member_id: UUID | None
    due_on: date
    until: date | None
    why: str
    state: FollowUpState


class PutOff(Schema):
    """Arguments that put a follow-up off to a later day."""

    id: UUID
    until: date
