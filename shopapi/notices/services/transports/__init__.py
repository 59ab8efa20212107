"""How a message leaves: each transport takes an outbound message, hands it over once and returns the result."""

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
    """A message as it leaves. Its text may hold a secret link: it is kept nowhere and logged nowhere."""

    notice_id: UUID
    address: str
    name: str
    subject: str
    body: str
    about: tuple[str, UUID]
    endpoints: tuple[PushEndpoint, ...] = ()
