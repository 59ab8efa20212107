"""Asking a customer by a link: schemas, and the status of a link.

A link asks about one revision of one quote. Opening it decides nothing. It is valid until the end of the quote's last
day, and ends when it is answered, revoked or replaced by a revision.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Annotated, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Label, Name, OptionalText, RequiredText, Row, Schema
from shopapi.quotes.rules.states import QuoteState

LinkChannel = TypeAliasType("LinkChannel", Literal["email", "sms", "qr"])
LinkStatus = Literal["open", "answered", "taken_back", "replaced", "decided", "withdrawn", "ended"]

GUESS_MOST = 20
"""How many unknown secrets one network may try within five minutes before it is blocked."""
SENDS_MOST = 60
"""How many forms may be sent through one link within five minutes before it is blocked."""


class SendRequest(Schema):
    """A request to the customer: its quote, channel and address. A QR code needs no address."""

    id: UUID
    quote_id: UUID
    channel: LinkChannel
    address: Annotated[Label, Field(max_length=254)] = ""
    name: Label = ""


class ApprovalLinkRow(Row):
    """A request as synced to devices, without the link's secret or its hash.

    `opened_count` is the number of minutes in which the link was opened, by a person or a mail scanner.
    """

    quote_id: UUID
    revision: int
    channel: LinkChannel
    address: str
    name: str
    expires_at: AwareDatetime
    opened_count: int
    opened_at: AwareDatetime | None
    used_at: AwareDatetime | None
    revoked_at: AwareDatetime | None
    created_by_id: UUID | None


class CustomerQuestionRow(Row):
    """A question from a customer through a link; `answered_at`: when a member called back."""

    quote_id: UUID
    link_id: UUID
    name: str
    words: str
    asked_at: AwareDatetime
    answered_at: AwareDatetime | None
    answered_by_id: UUID | None


class LinkAddress(Schema):
    """The whole address of a link. Anybody who has it may answer."""

    url: str


class Answer(Schema):
    """A customer's answer as sent by the page: each line of the quote once, and the name they typed."""

    yes: list[UUID]
    no: list[UUID]
    name: Name


class Question(Schema):
    """A customer's question, and the name to ask for when calling back."""

    words: RequiredText
    name: OptionalText = ""


@dataclass(frozen=True)
class LinkFacts:
    """What determines the status of a link."""

    used: bool
    revoked: bool
    expires_at: datetime
    quote_state: QuoteState


def link_status(link: LinkFacts, at: datetime) -> LinkStatus:
    """The status of a link at an instant. An answered link stays answered whatever happened later."""
    if link.used:
        return "answered"
    if link.revoked:
        return "taken_back"
    by_state: dict[QuoteState, LinkStatus] = {
        "replaced": "replaced",
        "decided": "decided",
        "withdrawn": "withdrawn",
        "lapsed": "ended",
    }
    if link.quote_state in by_state:
        return by_state[link.quote_state]
    return "ended" if at >= link.expires_at else "open"


def end_of(valid_until: date, zone: str) -> datetime:
    """The instant at which the last day of an offer ends in the shop's zone."""
    return datetime.combine(valid_until + timedelta(days=1), time(), ZoneInfo(zone))


MOST_PUSHED = 300


def shortened(words: str) -> str:
    """The text of a question for a push message, cut to its beginning if it is long."""
    return words if len(words) <= MOST_PUSHED else words[: MOST_PUSHED - 1].rstrip() + "…"
