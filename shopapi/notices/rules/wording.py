"""The words of messages: templates with named fields in braces, and what each kind of message may name."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from shopapi.core.errors import FieldError, Invalid

FIELD = re.compile(r"\{([a-z_]+)\}")
MOST_SMS = 480


@dataclass(frozen=True)
class Wording:
    """Subject (the title of a push; empty for a text message) and body, with fields in braces."""

    subject: str
    body: str


@dataclass(frozen=True)
class Sort:
    """One kind of message: the fields it may name with an example of each, and its words by channel."""

    examples: Mapping[str, str]
    words: Mapping[str, Wording]


OWNER = {"customer": "Winnie Stroud", "shop": "Millbrook Small Engine", "machine": "garden tractor"}

SORTS: Mapping[str, Sort] = {
    "approval_request": Sort(
        {**OWNER, "job": "J-1042", "total": "$184.50", "link": "https://shop.example/a/…"},
        {
            "email": Wording(
                "{machine}: more work to decide on",
                "Hello {customer},\n\nworking on your {machine} ({job}) we found more that needs your decision. "
                "With pictures and prices, line by line:\n\n{link}\n\nYes to all of it comes to {total}. Saying no is "
                "as easy, and you can ask back there.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: more work on your {machine}, {total} for all of it. Yes or no: {link}"),
        },
    ),
    "quote_reminder": Sort(
        {**OWNER, "job": "J-1042", "total": "$184.50", "until": "June 30"},
        {
            "email": Wording(
                "{machine}: our quote awaits your answer",
                "Hello {customer},\n\nwe quoted {total} for your {machine} ({job}) and have no answer yet. The quote "
                "holds until {until}. A yes, a no or a question: just answer this message.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: our quote of {total} for your {machine} holds until {until}. Yes or no?"),
        },
    ),
    "machine_ready": Sort(
        {**OWNER, "job": "J-1042"},
        {
            "email": Wording(
                "{machine}: ready", "Hello {customer},\n\nyour {machine} ({job}) is ready to go back to you.\n\n{shop}"
            ),
            "sms": Wording("", "{shop}: your {machine} ({job}) is ready to go back to you."),
        },
    ),
    "check_in": Sort(
        OWNER,
        {
            "email": Wording(
                "{machine}: how does it run?",
                "Hello {customer},\n\nyour {machine} has been back for a while. Does it run as it should?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: does your {machine} run as it should?"),
        },
    ),
    "safety_declined": Sort(
        {**OWNER, "finding": "The seat switch does not stop the engine."},
        {
            "email": Wording(
                "{machine}: work on a safety device is still open",
                "Hello {customer},\n\non your {machine} this was left as it is: {finding} Until it is mended, "
                "protection is missing. Shall we do it?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: still open on your {machine}: {finding} Shall we mend it?"),
        },
    ),
    "service_due": Sort(
        OWNER,
        {
            "email": Wording(
                "{machine}: time for its service",
                "Hello {customer},\n\nit is about a year since your {machine} was here. Shall we look it over before "
                "the season?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: your {machine} was here about a year ago. Shall we look it over?"),
        },
    ),
    "clock_running": Sort(
        {"since": "8:05 AM", "work": "J-1042"},
        {"push": Wording("Your clock still runs", "It has run since {since}: {work}. Did you stop before now?")},
    ),
    "owner_asked": Sort(
        {"owner": "Winnie Stroud", "job": "J-1042", "question": "Can it wait until spring?"},
        {"push": Wording("{owner} asks back", "{job}: {question}")},
    ),
    "on_my_way": Sort(
        {**OWNER, "after": "2:05 PM", "before": "2:40 PM"},
        {
            "email": Wording(
                "{machine}: on the way to you",
                "Hello {customer},\n\nwe are on our way about your {machine} and expect to be with you between {after} "
                "and {before}.\n\n{shop}",
            ),
            "sms": Wording(
                "", "{shop}: on our way about your {machine}. We expect to be with you between {after} and {before}."
            ),
        },
    ),
    "plain": Sort(
        {"words": "We are at the gate.", "shop": OWNER["shop"]},
        {
            "email": Wording("Message from {shop}", "{words}"),
            "sms": Wording("", "{words}"),
            "push": Wording("{shop}", "{words}"),
        },
    ),
}


def sort_of(key: str, channel: str, *, field: str = "key") -> Sort:
    """The kind of message by its key. Raises Invalid naming `field` when there is none, or none over this channel."""
    sort = SORTS.get(key)
    if sort is None:
        words = f"There is no kind of message “{key}”. Known are: {', '.join(SORTS)}."
        raise Invalid("unknown_template", words, fields=[FieldError(field, "unknown_template", words)])
    if channel not in sort.words:
        words = f"“{key}” does not go by {channel}, but by {' or '.join(sort.words)}."
        raise Invalid("unknown_template", words, fields=[FieldError("channel", "unknown_template", words)])
    return sort


def check_wording(key: str, channel: str, wording: Wording) -> None:
    """Raise Invalid, naming the field at fault, unless every field in braces is one that this kind has."""
    sort = sort_of(key, channel)
    faults = [
        FieldError(part, "unknown_field", _fault(text, sort))
        for part, text in (("subject", wording.subject), ("body", wording.body))
        if _fault(text, sort)
    ]
    if "\n" in wording.subject or "\r" in wording.subject:
        faults.append(FieldError("subject", "one_line", "The subject is one line."))
    if channel != "sms" and not wording.subject.strip():
        faults.append(FieldError("subject", "missing", "Write a subject."))
    if channel == "sms" and len(wording.body) > MOST_SMS:
        faults.append(FieldError("body", "too_long", f"A text message takes at most {MOST_SMS} characters."))
    if faults:
        raise Invalid("invalid", faults[0].words, fields=faults)


def _fault(text: str, sort: Sort) -> str:
    known = ", ".join(f"{{{name}}}" for name in sort.examples)
    for name in FIELD.findall(text):
        if name not in sort.examples:
            return f"{{{name}}} is not known here. You may use {known}."
    if "{" in FIELD.sub("", text) or "}" in FIELD.sub("", text):
        return f"A brace stands alone or around something that is no field. You may use {known}."
    return ""


def fill(text: str, values: Mapping[str, str]) -> str:
    """The text with its fields filled in; what has no value stays in braces. A value's own braces mean nothing.

    >>> fill("{customer}: {total}", {"customer": "{total}", "total": "$5"})
    '{total}: $5'
    """
    return FIELD.sub(lambda found: values.get(found[1], found[0]), text)


def fields_of(wording: Wording) -> frozenset[str]:
    """The names of the fields that a wording uses."""
    return frozenset(FIELD.findall(wording.subject) + FIELD.findall(wording.body))
