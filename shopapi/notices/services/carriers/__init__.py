"""How a message leaves: each carrier takes a parcel, hands it over once and says what came of it."""

from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True)
class Place:
    """A device that shows push messages."""

    id: UUID
    endpoint: str
    p256dh: str
    auth: str


@dataclass(frozen=True)
class Parcel:
    """A message as it leaves. Its text may hold a secret link: it is kept nowhere and logged nowhere."""

    notice_id: UUID
    address: str
    name: str
    subject: str
    body: str
    about: tuple[str, UUID]
    places: tuple[Place, ...] = ()
