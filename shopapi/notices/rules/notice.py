"""The life of a notice, and its schemas."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.errors import Reason
from shopapi.core.schema import Label, OptionalText, Row, Schema, Text


class Channel(TextEnum):
    """How a notice goes: `by_hand` is the phone's own message or mail program, started by a member's tap."""

    EMAIL = "email"
    SMS = "sms"
    BY_HAND = "by_hand"
    PUSH = "push"


class NoticeState(TextEnum):
    """waiting: to be sent from `not_before` on. sending: handed to a worker; it may be out.

    sent: the other side took it. refused: it did not, for good. unknown: it cannot be known whether it went out.
    by_hand: a member is to send it. withheld: the address asked for no such messages.
    """

    WAITING = "waiting"
    SENDING = "sending"
    SENT = "sent"
    REFUSED = "refused"
    UNKNOWN = "unknown"
    BY_HAND = "by_hand"
    WITHHELD = "withheld"


# Only a person's "send again" leads from where it may have gone out back to waiting.
NOTICE_TRANSITIONS: Mapping[NoticeState, frozenset[NoticeState]] = {
    NoticeState.WAITING: frozenset({NoticeState.SENDING, NoticeState.REFUSED, NoticeState.WITHHELD, NoticeState.SENT}),
    NoticeState.SENDING: frozenset(
        {NoticeState.SENT, NoticeState.REFUSED, NoticeState.UNKNOWN, NoticeState.WAITING, NoticeState.BY_HAND}
    ),
    NoticeState.SENT: frozenset(),
    NoticeState.REFUSED: frozenset({NoticeState.WAITING, NoticeState.SENT}),
    NoticeState.UNKNOWN: frozenset({NoticeState.WAITING, NoticeState.SENT}),
    NoticeState.BY_HAND: frozenset({NoticeState.SENT}),
    NoticeState.WITHHELD: frozenset({NoticeState.SENT}),
}

NOT_KNOWN = Reason("not_known_whether_sent")
OPTED_OUT = Reason("address_opted_out")

RETRY_DELAYS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 240))
"""How long to wait after each failed attempt that may succeed later."""

LOST_AFTER = timedelta(minutes=3)
"""So long after it began, nobody can be sending a notice any more: a worker is ended well before."""


class DeliveryStatus(TextEnum):
    SENT = "sent"
    LATER = "later"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class DeliveryResult:
    """What became of one try, and why where it was not simply taken.

    `gone` are push subscriptions that are no more.
    """

    fate: DeliveryStatus
    reason: Reason | None = None
    gone: tuple[UUID, ...] = ()


def after_try(tries: int, outcome: DeliveryResult) -> tuple[NoticeState, timedelta | None]:
    """The state after the `tries`-th try, and how long to wait if there is to be another.

    >>> after_try(2, DeliveryResult(DeliveryStatus.LATER, Reason("push_gone")))
    (<NoticeState.WAITING: 'waiting'>, datetime.timedelta(seconds=300))
    """
    if outcome.fate == DeliveryStatus.LATER:
        if tries > len(RETRY_DELAYS):
            return NoticeState.REFUSED, None
        return NoticeState.WAITING, RETRY_DELAYS[tries - 1]
    return NoticeState(outcome.fate.value), None


AboutKind = Annotated[Text, Field(min_length=1, max_length=20)]
Address = Annotated[Text, Field(min_length=1, max_length=254)]
OptOutChannel = TypeAliasType("OptOutChannel", Literal["email", "sms"])
TemplateChannel = TypeAliasType("TemplateChannel", Literal["email", "sms", "push"])
MOST_MESSAGE = 4000
MessageText = Annotated[Text, Field(min_length=1, max_length=MOST_MESSAGE)]


class DeliveryReason(Schema):
    """Why a message was not sent, or not yet, with the values that its sentence names."""

    code: Literal[
        "address_opted_out",
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
    """A message as devices see it. A secret link in it is shown as its name in braces.

    `address` of a push is the member's id. `has_link`: the whole text is to be had with signal alone. `because`: what
    `reason` says, where it is about delivery; None too where its words were stored before there were codes.
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
    """A message that a member sent from the phone's own program: it has happened."""

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
    """A member says that the notice was sent from their phone."""

    id: UUID
    sent_at: AwareDatetime


class OptOutFields(Schema):
    """No more messages to this address over this channel."""

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
    """The shop's own words for one kind of message over one channel."""

    id: UUID
    key: Annotated[Text, Field(max_length=40)]
    channel: TemplateChannel
    subject: Label = ""
    body: MessageText


class TemplateRow(Row):
    key: str
    channel: TemplateChannel
    subject: str
    body: str


class PushKeys(Schema):
    """A browser's push subscription (Push API): where to send, and the keys to encrypt with (RFC 8291)."""

    id: UUID
    endpoint: Annotated[Text, Field(min_length=1, max_length=2000)]
    p256dh: Annotated[Text, Field(pattern=r"^[A-Za-z0-9_-]{87}=?$")]
    auth: Annotated[Text, Field(pattern=r"^[A-Za-z0-9_-]{22}(==)?$")]


class SubscriptionRow(Row):
    """A device that shows push messages. Its keys are shown to nobody."""

    device_id: UUID
    member_id: UUID


class Preview(Schema):
    """A template as it would read with example values."""

    subject: str
    body: str


class ChannelsRow(Schema):
    """What is set up on this server; `push_key` is the public VAPID key (RFC 8292), base64url."""

    email: bool
    sms: bool
    push_key: str | None
