"""Asking a customer by a link: its schemas, and where a link stands.

A link asks about one revision of one quote. It decides nothing by being opened, holds until the quote's last day is
over, and is dead once it was answered, taken back or overtaken by a revision.
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
Standing = Literal["open", "answered", "taken_back", "replaced", "decided", "withdrawn", "ended"]

GUESS_MOST = 20
"""Addresses that lead nowhere, from one network within five minutes; then its requests wait."""
SENDS_MOST = 60
"""Forms sent through one link within five minutes; then it waits."""


class SendRequest(Schema):
    """A request to the customer: about which quote, through which channel, to what address. A QR code needs none."""

    id: UUID
    quote_id: UUID
    channel: LinkChannel
    address: Annotated[Label, Field(max_length=254)] = ""
    name: Label = ""


class ApprovalLinkRow(Row):
    """A request as devices see it. The link's secret is not among its columns; a digest of it is kept elsewhere.

    `opened_count` counts each minute in which it was opened, by whom or what is not known: mail scanners open links.
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
    """What a customer asked back through a link; `answered_at` once somebody of the shop has called."""

    quote_id: UUID
    link_id: UUID
    name: str
    words: str
    asked_at: AwareDatetime
    answered_at: AwareDatetime | None
    answered_by_id: UUID | None


class LinkAddress(Schema):
    """The whole address of a link: whoever holds it may answer."""

    url: str


class Answer(Schema):
    """A customer's answer as the page sends it: each line of the quote once, and the name they typed."""

    yes: list[UUID]
    no: list[UUID]
    name: Name


class Question(Schema):
    """What a customer asks back, and by which name they want to be called."""

    words: RequiredText
    name: OptionalText = ""


@dataclass(frozen=True)
class LinkFacts:
    """What decides where a link stands."""

    used: bool
    revoked: bool
    expires_at: datetime
    quote_state: QuoteState


def standing_of(link: LinkFacts, at: datetime) -> Standing:
    """Where a link stands at an instant. An answer given is kept in sight, whatever came later."""
    if link.used:
        return "answered"
    if link.revoked:
        return "taken_back"
    by_state: dict[QuoteState, Standing] = {
        "replaced": "replaced",
        "decided": "decided",
        "withdrawn": "withdrawn",
        "lapsed": "ended",
    }
    if link.quote_state in by_state:
        return by_state[link.quote_state]
    return "ended" if at >= link.expires_at else "open"


def end_of(valid_until: date, zone: str) -> datetime:
    """The instant at which the last day of an offer is over in the shop's zone."""
    return datetime.combine(valid_until + timedelta(days=1), time(), ZoneInfo(zone))


MOST_PUSHED = 300


def shortened(words: str) -> str:
    """A question as a push message shows it: the beginning of a long one."""
    return words if len(words) <= MOST_PUSHED else words[: MOST_PUSHED - 1].rstrip() + "…"
