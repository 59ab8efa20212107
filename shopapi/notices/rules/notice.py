"""States, retry delays and schemas of notices."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.errors import Reason
from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import Label, OptionalText, Row, Schema, Text


class Channel(TextEnum):
    """How a notice goes: `by_hand` is the phone's own message or mail program, started by a member's tap."""

    EMAIL = "email"
    SMS = "sms"
    BY_HAND = "by_hand"
    PUSH = "push"


class NoticeState(TextEnum):
    """waiting: to be sent from `not_before` on. sending: handed to a worker; it may have been sent.

    sent: accepted by the other side. refused: rejected for good. unknown: it cannot be known whether it was sent.
    by_hand: a member is to send it. withheld: the address opted out, or nobody needs it any more.
    """

    WAITING = "waiting"
    SENDING = "sending"
    SENT = "sent"
    REFUSED = "refused"
    UNKNOWN = "unknown"
    BY_HAND = "by_hand"
    WITHHELD = "withheld"


# A message that may have been sent goes back to waiting only when a person chooses "send again".
NOTICE_TRANSITIONS: Mapping[NoticeState, frozenset[NoticeState]] = {
    NoticeState.WAITING: frozenset({NoticeState.SENDING, NoticeState.REFUSED, NoticeState.WITHHELD, NoticeState.SENT}),
    NoticeState.SENDING: frozenset(
        {NoticeState.SENT, NoticeState.REFUSED, NoticeState.UNKNOWN, NoticeState.WAITING, NoticeState.BY_HAND}
    ),
    NoticeState.SENT: frozenset(),
    NoticeState.REFUSED: frozenset({NoticeState.WAITING, NoticeState.SENT}),
    NoticeState.UNKNOWN: frozenset({NoticeState.WAITING, NoticeState.SENT}),
    NoticeState.BY_HAND: frozenset({NoticeState.SENT, NoticeState.WITHHELD}),
    NoticeState.WITHHELD: frozenset({NoticeState.SENT}),
}

NOT_KNOWN = Reason("not_known_whether_sent")
OPTED_OUT = Reason("address_opted_out")
NO_LONGER_NEEDED = Reason("no_longer_needed")

RETRY_DELAYS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 240))
"""How long to wait after each failed attempt that may succeed later."""

LOST_AFTER = timedelta(minutes=3)
"""After this time an attempt counts as lost; the task's time limit is shorter, so no worker can still be sending."""


class DeliveryStatus(TextEnum):
    SENT = "sent"
    LATER = "later"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class DeliveryResult:
    """The result of one attempt, with a reason unless it was accepted.

    `gone`: push subscriptions that no longer exist.
    """

    status: DeliveryStatus
    reason: Reason | None = None
    gone: tuple[UUID, ...] = ()


def after_try(tries: int, outcome: DeliveryResult) -> tuple[NoticeState, timedelta | None]:
    """The state after attempt number `tries`, and how long to wait before the next one; None: there is none.

    >>> after_try(2, DeliveryResult(DeliveryStatus.LATER, Reason("push_gone")))
    (<NoticeState.WAITING: 'waiting'>, datetime.timedelta(seconds=300))
    """
    if outcome.status == DeliveryStatus.LATER:
        if tries > len(RETRY_DELAYS):
            return NoticeState.REFUSED, None
        return NoticeState.WAITING, RETRY_DELAYS[tries - 1]
    return NoticeState(outcome.status.value), None


AboutKind = Annotated[Text, Field(min_length=1, max_length=20)]
Address = Annotated[Text, Field(min_length=1, max_length=254)]
OptOutChannel = TypeAliasType("OptOutChannel", Literal["email", "sms"])
TemplateChannel = TypeAliasType("TemplateChannel", Literal["email", "sms", "push"])
MOST_MESSAGE = 4000
MessageText = Annotated[Text, Field(min_length=1, max_length=MOST_MESSAGE)]


class DeliveryReason(Schema):
    """Why a message was not sent or not yet, with the values of its sentence."""

    code: Literal[
        "address_opted_out",
        "no_longer_needed",
        "not_set_up_email",
        "not_set_up_sms",
        "not_set_up_push",
        "not_known_whether_sent",
        "mail_sign_in_refused",
        "mail_unreachable",
        "mail_refused",
        "mail_later",
        "gateway_unreachable",
        "gateway_refused",
        "gateway_later",
        "unknown_push_service",
        "push_no_device",
        "push_bad_keys",
        "push_gone",
    ]
    context: dict[str, int | str] = {}


class NoticeRow(Row):
    """A message as synced to devices. A secret link in it is shown as its name in braces.

    `address` of a push is the member's id. `has_link`: the full text can be read online only. `because`: the code of
    `reason` where it is about delivery; None for rows stored before there were codes.
    """

    channel: Channel
    address: str
    name: str
    template: str
    subject: str
    body: str
    has_link: bool
    about_kind: str
    about_id: UUID
    state: NoticeState
    reason: str
    because: DeliveryReason | None = None
    tries: int
    not_before: AwareDatetime
    sent_at: AwareDatetime | None
    member_id: UUID | None


class MessageRecord(Schema):
    """A message that a member has sent from the phone's own mail or message program."""

    id: UUID
    address: Address
    name: Label = ""
    template: Annotated[Text, Field(max_length=40)] = "plain"
    subject: Label = ""
    body: MessageText
    about_kind: AboutKind
    about_id: UUID
    sent_at: AwareDatetime


class SentByHand(Schema):
    """Mark a notice as sent from a member's phone."""

    id: UUID
    sent_at: AwareDatetime


class OptOutFields(Schema):
    """An address that gets no more messages over a channel."""

    channel: OptOutChannel
    address: Address
    reason: OptionalText = ""


class NewOptOut(OptOutFields):
    id: UUID


class OptOutRow(Row):
    channel: OptOutChannel
    address: str
    reason: str
    member_id: UUID | None


class TemplateRecord(Schema):
    """The shop's own words for one kind of message over one channel in one language."""

    id: UUID
    key: Annotated[Text, Field(max_length=40)]
    channel: TemplateChannel
    language: Language = ENGLISH
    subject: Label = ""
    body: MessageText


class TemplateRow(Row):
    key: str
    channel: TemplateChannel
    language: Language
    subject: str
    body: str


class PushKeys(Schema):
    """A browser's push subscription (Push API): where to send, and the keys to encrypt with (RFC 8291)."""

    id: UUID
    endpoint: Annotated[Text, Field(min_length=1, max_length=2000)]
    p256dh: Annotated[Text, Field(pattern=r"^[A-Za-z0-9_-]{87}=?$")]
    auth: Annotated[Text, Field(pattern=r"^[A-Za-z0-9_-]{22}(==)?$")]


class SubscriptionRow(Row):
    """A device that shows push messages. Its keys are not part of the row."""

    device_id: UUID
    member_id: UUID


class Preview(Schema):
    """A template filled with example values."""

    subject: str
    body: str


class ChannelsRow(Schema):
    """The channels set up on this server; `push_key` is the public VAPID key (RFC 8292), base64url."""

    email: bool
    sms: bool
    push_key: str | None
