"""Transports: each sends one outbound message once and returns the result."""

from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True)
class PushEndpoint:
    """A device that shows push messages."""

    id: UUID
    endpoint: str
    p256dh: str
    auth: str


@dataclass(frozen=True)
class OutboundMessage:
    """A message to send. Its text may contain a secret link, so it is neither stored nor logged."""

    notice_id: UUID
    address: str
    name: str
    subject: str
    body: str
    about: tuple[str, UUID]
    endpoints: tuple[PushEndpoint, ...] = ()
