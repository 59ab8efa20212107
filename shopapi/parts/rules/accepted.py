"""Parts on lines of a quote that a customer accepted, and the needs that follow from them.

Each is needed. A line of a revision takes over the need of the line that it replaces: the one with the same number and
description. What the customer does not want any more is cancelled while nobody has ordered it.
Twin: `pwa/src/domain/parts/accepted.ts`; both run `fixtures/parts/accepted.json`.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from shopapi.core.schema import MOST_LABEL
from shopapi.parts.rules.needs import PartState

LONGEST_NUMBER = 60


@dataclass(frozen=True)
class AcceptedPart:
    """A part on an accepted line; amounts are for one, before a discount on the line."""

    line_id: UUID
    number: str
    description: str
    quantity: Decimal
    finding_id: UUID | None = None
    cost_minor: int | None = None
    agreed_minor: int | None = None
    core_minor: int = 0

    @property
    def name(self) -> tuple[str, str]:
        """Its number and description as a need has them."""
        return self.number[:LONGEST_NUMBER], self.description[:MOST_LABEL]


@dataclass(frozen=True)
class KnownNeed:
    """A need of the job as it is."""

    id: UUID
    line_id: UUID | None
    number: str
    description: str
    state: PartState


@dataclass(frozen=True)
class NeedsToFollow:
    """`added`: parts to add. `taken_over`: by id of a known need, the part it is now. `cancelled`: ids of needs."""

    added: Sequence[AcceptedPart]
    taken_over: dict[UUID, AcceptedPart]
    cancelled: Sequence[UUID]


def needs_to_follow(
    accepted: Sequence[AcceptedPart], known: Sequence[KnownNeed], former_lines: Collection[UUID]
) -> NeedsToFollow:
    """What a decision changes about the needs of its job. `former_lines`: of the revisions that the quote replaces."""
    added: list[AcceptedPart] = []
    taken_over: dict[UUID, AcceptedPart] = {}
    for part in accepted:
        own = [need for need in known if part.line_id in (need.id, need.line_id)]
        same = [need for need in known if need.line_id in former_lines and (need.number, need.description) == part.name]
        free = [need for need in own or same if need.id not in taken_over]
        if free:
            taken_over[free[0].id] = part
        elif part.quantity > 0:
            added.append(part)
    left = [need for need in known if need.line_id in former_lines and need.id not in taken_over]
    return NeedsToFollow(added, taken_over, [need.id for need in left if need.state == PartState.WANTED])
