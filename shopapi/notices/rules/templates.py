"""Message templates with named fields in braces, and the fields that each kind of message may use."""

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
class MessageType:
    """One kind of message: its fields with an example of each, and its words by channel."""

    examples: Mapping[str, str]
    words: Mapping[str, Wording]


CUSTOMER_EXAMPLES = {"customer": "Winnie Stroud", "shop": "Millbrook Small Engine", "machine": "garden tractor"}

MESSAGE_TYPES: Mapping[str, MessageType] = {
    "approval_request": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042", "total": "$184.50", "link": "https://shop.example/ask/…"},
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
    "quote_reminder": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042", "total": "$184.50", "until": "Jun 30, 2026"},
        {
            "email": Wording(
                "{machine}: our quote awaits your answer",
                "Hello {customer},\n\nwe quoted {total} for your {machine} ({job}) and have no answer yet. The quote "
                "holds until {until}. A yes, a no or a question: just answer this message.\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: our quote of {total} for your {machine} holds until {until}. Yes or no?"),
        },
    ),
    "machine_ready": MessageType(
        {**CUSTOMER_EXAMPLES, "job": "J-1042"},
        {
            "email": Wording(
                "{machine}: ready", "Hello {customer},\n\nyour {machine} ({job}) is ready to go back to you.\n\n{shop}"
            ),
            "sms": Wording("", "{shop}: your {machine} ({job}) is ready to go back to you."),
        },
    ),
    "check_in": MessageType(
        CUSTOMER_EXAMPLES,
        {
            "email": Wording(
                "{machine}: how does it run?",
                "Hello {customer},\n\nyour {machine} has been back for a while. Does it run as it should?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: does your {machine} run as it should?"),
        },
    ),
    "safety_declined": MessageType(
        {**CUSTOMER_EXAMPLES, "finding": "The seat switch does not stop the engine."},
        {
            "email": Wording(
                "{machine}: work on a safety device is still open",
                "Hello {customer},\n\non your {machine} this was left as it is: {finding} Until it is repaired, "
                "protection is missing. Shall we do it?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: still open on your {machine}: {finding} Shall we repair it?"),
        },
    ),
    "service_due": MessageType(
        CUSTOMER_EXAMPLES,
        {
            "email": Wording(
                "{machine}: time for its service",
                "Hello {customer},\n\nit is about a year since your {machine} was here. Shall we look it over before "
                "the season?\n\n{shop}",
            ),
            "sms": Wording("", "{shop}: your {machine} was here about a year ago. Shall we look it over?"),
        },
    ),
    "clock_running": MessageType(
        {"since": "8:05 AM", "work": "J-1042"},
        {"push": Wording("Your clock still runs", "It has run since {since}: {work}. Did you stop before now?")},
    ),
    "customer_asked": MessageType(
        {"customer": "Winnie Stroud", "job": "J-1042", "question": "Can it wait until spring?"},
        {"push": Wording("{customer} has a question", "{job}: {question}")},
    ),
    "on_my_way": MessageType(
        {**CUSTOMER_EXAMPLES, "after": "2:05 PM", "before": "2:40 PM"},
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
    "plain": MessageType(
        {"words": "We are at the gate.", "shop": CUSTOMER_EXAMPLES["shop"]},
        {
            "email": Wording("Message from {shop}", "{words}"),
            "sms": Wording("", "{words}"),
            "push": Wording("{shop}", "{words}"),
        },
    ),
}


# Messages that ask for the decision of a quote: nobody needs them once it is decided.
ASKING = ("approval_request", "quote_reminder")


def message_type_of(key: str, channel: str, *, field: str = "key") -> MessageType:
    """The kind of message by its key. Raises Invalid naming `field` for an unknown key or channel."""
    message_type = MESSAGE_TYPES.get(key)
    if message_type is None:
        fault = FieldError(field, "unknown_template", context={"key": key, "known": ", ".join(MESSAGE_TYPES)})
        raise Invalid("unknown_template", reason=fault.reason, fields=[fault])
    if channel not in message_type.words:
        context = {"key": key, "channel": str(channel), "channels": " / ".join(message_type.words)}
        fault = FieldError("channel", "unknown_template", message="template_not_for_channel", context=context)
        raise Invalid("unknown_template", reason=fault.reason, fields=[fault])
    return message_type


def check_template(key: str, channel: str, wording: Wording) -> None:
    """Raise Invalid, naming the part at fault, unless every field in braces is a field of this kind of message."""
    message_type = message_type_of(key, channel)
    faults = [
        fault
        for part, text in (("subject", wording.subject), ("body", wording.body))
        if (fault := _fault(part, text, message_type)) is not None
    ]
    if "\n" in wording.subject or "\r" in wording.subject:
        faults.append(FieldError("subject", "one_line"))
    if channel != "sms" and not wording.subject.strip():
        faults.append(FieldError("subject", "missing", message="subject_missing"))
    if channel == "sms" and len(wording.body) > MOST_SMS:
        faults.append(FieldError("body", "too_long", message="sms_too_long", context={"most_sms": MOST_SMS}))
    if faults:
        raise Invalid("invalid", fields=faults)


def _fault(part: str, text: str, message_type: MessageType) -> FieldError | None:
    known = ", ".join(f"{{{name}}}" for name in message_type.examples)
    for name in FIELD.findall(text):
        if name not in message_type.examples:
            return FieldError(part, "unknown_field", context={"name": f"{{{name}}}", "known": known})
    if "{" in FIELD.sub("", text) or "}" in FIELD.sub("", text):
        return FieldError(part, "unknown_field", message="lone_brace", context={"known": known})
    return None


def fill(text: str, values: Mapping[str, str]) -> str:
    """Fill in the fields of a text; a field without a value stays in braces. Braces in values are literal.

    >>> fill("{customer}: {total}", {"customer": "{total}", "total": "$5"})
    '{total}: $5'
    """
    return FIELD.sub(lambda found: values.get(found[1], found[0]), text)


def fields_of(wording: Wording) -> frozenset[str]:
    """The names of the fields used in a wording."""
    return frozenset(FIELD.findall(wording.subject) + FIELD.findall(wording.body))
