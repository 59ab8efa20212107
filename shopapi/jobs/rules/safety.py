"""Safety items, what the customer was told of them, and what keeps a job from being ready."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Moment, Name, OptionalText, RequiredText, Row, Schema
from shopapi.jobs.rules.jobs import Decision, FindingRank


class DeviceCondition(TextEnum):
    """What is wrong with a safety device. BYPASSED: found so, it is in place and does nothing."""

    NOT_WORKING = "not_working"
    BYPASSED = "bypassed"
    MISSING = "missing"


# What a phone offers to choose from, common practice, no source. Any other device is typed.
DEVICES = (
    "seat_switch",
    "brake_switch",
    "blade_switch",
    "reverse_switch",
    "stop_switch",
    "hold_to_run_handle",
    "blade_brake",
    "parking_brake",
    "guards_and_chute",
    "roll_bar_and_belt",
)


class SafetyItemFields(Schema):
    """What may be edited of a safety item.

    `device`: one of DEVICES, or as typed. `protection_lost`: what no longer protects anybody, in plain words.
    `interim`: what was done in the meantime, such as a tag on the machine, blades removed.
    """

    device: Name
    condition: DeviceCondition
    protection_lost: RequiredText
    interim: OptionalText = ""


class SafetyItemRecord(SafetyItemFields):
    """A safety device that is not working, bypassed or missing.

    `finding_id`: the finding that it belongs to. None: one is made, of rank safety, under the id of the item, with the
    text `words` (empty: the device and what is wrong with it), taking up the declined finding `again_of_id`.
    """

    id: UUID
    job_id: UUID
    finding_id: UUID | None = None
    words: OptionalText = ""
    again_of_id: UUID | None = None


class PartInquiry(Schema):
    """One try to get a part: where was asked, and the answer. Evidence that it cannot be had."""

    where: Name
    answer: RequiredText
    asked_at: Moment


class PartSearchRecord(PartInquiry):
    """A try to get the part for a safety item, which `id` names."""

    id: UUID


class PartSearchRow(PartInquiry):
    member_id: UUID | None


class TrialRecord(Schema):
    """A safety device was tried: when, how often, what was seen. `id` names the safety item."""

    id: UUID
    tried_at: Moment
    tries: Annotated[int, Field(ge=1, le=1000)] | None = None
    seen: RequiredText


class TrialRow(Schema):
    """A trial of a safety device, and whether it worked."""

    works: bool
    tried_at: Moment
    tries: int | None
    seen: str
    member_id: UUID | None


class SafetyItemRow(Row):
    job_id: UUID
    machine_id: UUID
    finding_id: UUID
    device: str
    condition: DeviceCondition
    protection_lost: str
    interim: str
    part_search: list[PartSearchRow]
    trials: list[TrialRow]
    repaired: bool
    noted_by_id: UUID | None


class DisclosedItem(Schema):
    """A safety item as a customer was told of it."""

    item_id: UUID
    device: Name
    condition: DeviceCondition
    protection_lost: RequiredText


DisclosedItems = Annotated[list[DisclosedItem], Field(max_length=50)]


class AcknowledgedHow(TextEnum):
    IN_PERSON = "in_person"
    CALL = "call"
    WRITING = "writing"


class AcknowledgementRecord(Schema):
    """What a customer said who was told of a safety finding and wants it left: who, how and when.

    `finding_words`: the finding as it was told. `protection_lost`: what no longer protects anybody, in plain words.
    `items`: the safety items of the finding as they were told; None, from apps that know none: as they are now.
    """

    id: UUID
    finding_id: UUID
    finding_words: RequiredText
    protection_lost: RequiredText
    acknowledged_by_name: Name
    how: AcknowledgedHow
    acknowledged_at: Moment
    note: OptionalText = ""
    items: DisclosedItems | None = None


class AcknowledgementRow(Row):
    finding_id: UUID
    finding_words: str
    protection_lost: str
    acknowledged_by_name: str
    how: AcknowledgedHow
    acknowledged_at: AwareDatetime
    note: str
    items: list[DisclosedItem]
    member_id: UUID | None


def item_words(device: str, condition: DeviceCondition) -> str:
    """The text of the finding of a safety item.

    Twin: `pwa/src/domain/jobs/safety.ts`; both run `fixtures/jobs/safety_items.json`.

    >>> item_words("seat_switch", DeviceCondition.NOT_WORKING)
    'Seat switch: not working'
    """
    spoken = device.replace("_", " ")
    return f"{spoken[:1].upper()}{spoken[1:]}: {condition.replace('_', ' ')}"


def is_repaired(trials: Sequence[TrialRow]) -> bool:
    """Whether the latest trial found the device working; of two at one instant, the one that did not counts.

    The order in which phones send their trials decides nothing: an old trial that comes late repairs nothing.
    Twin: `pwa/src/domain/jobs/safety.ts`.
    """
    return bool(trials) and max(trials, key=lambda one: (one.tried_at, not one.works)).works


@dataclass(frozen=True)
class Disclosure:
    """What a customer was told once: the text of the finding and its safety items."""

    words: str
    items: Collection[DisclosedItem] = ()


@dataclass(frozen=True)
class ItemState:
    """A safety item as it is now, and whether it is repaired."""

    item: DisclosedItem
    repaired: bool


OpenSafety = TypeAliasType("OpenSafety", Literal["undecided", "unacknowledged", "unrepaired", "no_bypass"])


def open_safety(
    rank: FindingRank,
    decided: Decision,
    words: str,
    told: Collection[Disclosure],
    items: Collection[ItemState] = (),
    *,
    no_bypass: bool = False,
) -> OpenSafety | None:
    """Why a finding keeps its job from being ready, or None where it does not.

    A finding with safety items counts by them, whatever its rank: each has to be repaired, or the customer declined
    and was told of it. Changed words are told again. Without items a finding of rank safety has to be accepted, or
    declined and told of. `no_bypass`: the shop hands nothing back with a bypassed or missing device; what the customer
    was told does not count there.
    Twin: `pwa/src/domain/jobs/safety.ts`; both run `fixtures/jobs/safety.json` and `safety_items.json`.
    """
    left = [one.item for one in items if not one.repaired]
    if items:
        if not left:
            return None
        if no_bypass and any(item.condition != DeviceCondition.NOT_WORKING for item in left):
            return "no_bypass"
        if decided == Decision.ACCEPTED:
            return "unrepaired"
    elif rank != FindingRank.SAFETY or decided == Decision.ACCEPTED:
        return None
    if decided == Decision.OPEN:
        return "undecided"
    heard = [one for one in told if one.words == words]
    known = all(any(item in one.items for one in heard) for item in left)
    return None if heard and known else "unacknowledged"
