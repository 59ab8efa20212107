"""Webhooks and their deliveries: schemas, what a delivery says, when it is tried again and when that ends."""

import json
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Label, Row, Schema, Secret, Text

MOST_WEBHOOKS = 10
# Changes in one delivery, and unfinished deliveries of one webhook: beyond that the change list is the queue.
MOST_CHANGES = 100
MOST_WAITING = 10

RETRY_DELAYS = (
    timedelta(seconds=5),
    timedelta(minutes=5),
    timedelta(minutes=30),
    *(timedelta(hours=hours) for hours in (2, 5, 10, 14, 20, 24)),
)
"""How long to wait after each failed attempt; after the tenth, three days after the first, the delivery has failed."""

FAILING_DAYS = 5
"""A webhook of which nothing has arrived for so many days is turned off, and its shop's owners get a message."""

KEPT_DAYS = 30
"""How long finished deliveries are listed."""

FORMER_SECRET_HOURS = 24
"""How long deliveries are signed with the secret before as well, after a new one was made."""

# The receiver says that it is gone for good (RFC 9110, section 15.5.11).
GONE = 410


class WebhookState(TextEnum):
    """on: changes are sent. off: a person turned it off. failing: nothing arrived for FAILING_DAYS, so it is off."""

    ON = "on"
    OFF = "off"
    FAILING = "failing"


class DeliveryState(TextEnum):
    """waiting: to be sent from `next_at` on. delivered: answered with a status from 200 to 299. failed: given up."""

    WAITING = "waiting"
    DELIVERED = "delivered"
    FAILED = "failed"


WEBHOOK_TRANSITIONS: Mapping[WebhookState, frozenset[WebhookState]] = {
    WebhookState.ON: frozenset({WebhookState.OFF, WebhookState.FAILING}),
    WebhookState.OFF: frozenset({WebhookState.ON}),
    WebhookState.FAILING: frozenset({WebhookState.ON, WebhookState.OFF}),
}

DELIVERY_TRANSITIONS: Mapping[DeliveryState, frozenset[DeliveryState]] = {
    DeliveryState.WAITING: frozenset({DeliveryState.DELIVERED, DeliveryState.FAILED}),
    DeliveryState.DELIVERED: frozenset({DeliveryState.WAITING}),
    DeliveryState.FAILED: frozenset({DeliveryState.WAITING}),
}

DeliveryType = TypeAliasType("DeliveryType", Literal["rows.changed", "test"])
DeliveryFault = TypeAliasType(
    "DeliveryFault",
    Literal[
        "refused",
        "redirected",
        "turned_off",
        "no_secret",
        "bad_address",
        "private_address",
        "unknown_host",
        "unreachable",
        "bad_certificate",
        "timeout",
    ],
)
KindName = Annotated[Text, Field(min_length=1, max_length=40)]
Url = Annotated[
    Text, Field(min_length=1, max_length=2000, description="Where to send: https, a public host, port 443.")
]
Kinds = Annotated[
    list[KindName],
    Field(max_length=200, description="Kinds of rows to tell about, as in the change list; empty: all of them."),
]


class WebhookFields(Schema):
    """An address of another program that is told of changes."""

    url: Url
    label: Annotated[Label, Field(description="What the program is, for people.")] = ""
    kinds: Kinds = []


class NewWebhook(WebhookFields):
    """A new webhook. It sends nothing before its secret was made."""

    id: UUID


class WebhookChange(WebhookFields):
    """What a webhook is to be from now on."""

    id: UUID


class WebhookRow(Row):
    url: Url
    label: Annotated[str, Field(description="What the program is, for people.")]
    kinds: Kinds
    state: Annotated[WebhookState, Field(description="`on`, `off` (by a person), `failing` (off by itself).")]
    ready: Annotated[bool, Field(description="Whether its secret was made; nothing is sent before.")]
    former_until: Annotated[
        AwareDatetime | None, Field(description="Until when deliveries are signed with the secret before as well.")
    ]
    failing_since: Annotated[
        AwareDatetime | None, Field(description="Since when nothing has arrived; null once something has.")
    ]
    delivered_at: Annotated[AwareDatetime | None, Field(description="When a delivery arrived last.")]


class WebhookSecret(Schema):
    """A secret, shown once."""

    secret: Annotated[Secret, Field(description="`whsec_` and 32 bytes in base64. It is not shown again.")]


class ChangedRow(Schema):
    """A row that changed; the change list and its own path have the row itself."""

    kind: Annotated[str, Field(description="What it is, as in the change list.")]
    id: Annotated[UUID, Field(description="The id of the row.")]
    deleted: Annotated[bool, Field(description="Whether it is gone.")]


class WebhookDeliveryRow(Row):
    webhook_id: Annotated[UUID, Field(description="The webhook that it is of.")]
    type: Annotated[DeliveryType, Field(description="`rows.changed`, or `test` for one sent to try the address.")]
    changes: Annotated[list[ChangedRow], Field(description="What it tells about.")]
    cursor: Annotated[str, Field(description="The place in the change list just before these changes.")]
    state: Annotated[DeliveryState, Field(description="`waiting`, `delivered` or `failed`.")]
    tries: Annotated[int, Field(description="How often it was sent.")]
    next_at: Annotated[AwareDatetime | None, Field(description="When it is sent next, while it waits.")]
    status: Annotated[int | None, Field(description="The HTTP status of the last answer; null without an answer.")]
    fault: Annotated[DeliveryFault | None, Field(description="Why the last attempt did not succeed.")]
    tried_at: Annotated[AwareDatetime | None, Field(description="When it was sent last.")]


def body_of(*, kind: str, at: datetime, shop_id: UUID, cursor: str, changes: Sequence[Mapping[str, object]]) -> bytes:
    """The body of a delivery; the same for every attempt.

    >>> body_of(kind="test", at=datetime(2026, 6, 1), shop_id=UUID(int=1), cursor="1.2.3.", changes=[])[:58]
    b'{"type":"test","timestamp":"2026-06-01T00:00:00","data":{"'
    """
    data = {"shop_id": str(shop_id), "cursor": cursor, "changes": list(changes)}
    message = {"type": kind, "timestamp": at.isoformat(), "data": data}
    return json.dumps(message, ensure_ascii=False, separators=(",", ":")).encode()


def fault_of(status: int) -> DeliveryFault | None:
    """Why an answer does not count as taken; None where it does.

    >>> [fault_of(status) for status in (204, 302, 500)]
    [None, 'redirected', 'refused']
    """
    if 200 <= status < 300:
        return None
    return "redirected" if 300 <= status < 400 else "refused"


def next_wait(tries: int) -> timedelta | None:
    """How long to wait after failed attempt number `tries`; None: it was the last.

    >>> next_wait(1), next_wait(9), next_wait(10)
    (datetime.timedelta(seconds=5), datetime.timedelta(days=1), None)
    """
    return RETRY_DELAYS[tries - 1] if tries <= len(RETRY_DELAYS) else None


def is_given_up(failing_since: datetime, at: datetime, status: int | None) -> bool:
    """Whether a webhook is turned off: its receiver is gone for good, or nothing has arrived for FAILING_DAYS."""
    return status == GONE or at - failing_since >= timedelta(days=FAILING_DAYS)
