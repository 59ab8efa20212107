"""The stages of a job, what keeps it from being ready, and the schemas of jobs, complaints and findings."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.enums import TextEnum
from shopapi.core.schema import LongText, Moment, Name, OptionalText, RequiredText, Row, Schema, Text


class Stage(TextEnum):
    INTAKE = "intake"
    DIAGNOSIS = "diagnosis"
    REPAIR = "repair"
    TESTING = "testing"
    READY = "ready"
    RETURNED = "returned"
    CLOSED = "closed"
    CANCELLED = "cancelled"


# A job goes forward by one or more steps while it is worked on, and back when more is found.
JOB_TRANSITIONS: Mapping[Stage, frozenset[Stage]] = {
    Stage.INTAKE: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.CANCELLED}),
    Stage.DIAGNOSIS: frozenset({Stage.INTAKE, Stage.REPAIR, Stage.TESTING, Stage.CANCELLED}),
    Stage.REPAIR: frozenset({Stage.DIAGNOSIS, Stage.TESTING, Stage.CANCELLED}),
    Stage.TESTING: frozenset({Stage.DIAGNOSIS, Stage.REPAIR, Stage.READY, Stage.CANCELLED}),
    Stage.READY: frozenset({Stage.TESTING, Stage.REPAIR, Stage.RETURNED}),
    Stage.RETURNED: frozenset({Stage.READY, Stage.CLOSED}),
    Stage.CLOSED: frozenset({Stage.RETURNED}),
    Stage.CANCELLED: frozenset({Stage.INTAKE}),
}


def may_move(stage: Stage, to: Stage) -> bool:
    """Whether a job may go from one stage to another. Staying is no move."""
    return to in JOB_TRANSITIONS[stage]


class Waits(TextEnum):
    """What a job waits on; derived, never typed.

    APPROVAL: a quote of it is on offer. PARTS and CUSTOMER are on the wire but nothing writes them yet.
    """

    APPROVAL = "approval"
    PARTS = "parts"
    CUSTOMER = "customer"


class FindingRank(TextEnum):
    SAFETY = "safety"
    NEEDED = "needed"
    ADVISED = "advised"


class Decision(TextEnum):
    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"


class Urgency(TextEnum):
    """How much hurry a job is in. One needed by a date has that date; one that is DOWN loses money every day."""

    USUAL = "usual"
    DOWN = "down"


# How the machine comes to the shop, or the shop to it; empty: nobody said.
ArrivesBy = TypeAliasType("ArrivesBy", Literal["", "drop_off", "pickup", "visit"])


def finishes(stage: Stage, to: Stage) -> bool:
    """Whether a move says that the work is done. From returned back to ready only corrects a return."""
    return stage == Stage.TESTING and to == Stage.READY


def starts_testing(stage: Stage, to: Stage) -> bool:
    """Whether a move says that the machine is back together. From ready back to testing only takes a step back."""
    return to == Stage.TESTING and stage != Stage.READY


Mark = Annotated[Text, Field(max_length=20)]


class JobFields(Schema):
    """What may be edited of a job."""

    site_id: UUID | None = None
    promised_on: date | None = None
    urgency: Urgency = Urgency.USUAL
    arrives_by: ArrivesBy = ""
    notes: LongText = ""


class NewJob(JobFields):
    """A job as it is opened. `mark` names it on screens and PDFs until the server numbers it."""

    id: UUID
    customer_id: UUID
    machine_id: UUID
    mark: Mark = ""


class Numbered(Schema):
    number: Mark


class JobMove(Schema):
    id: UUID
    stage: Stage


class JobRow(Row):
    number: str | None
    mark: str
    customer_id: UUID
    machine_id: UUID
    site_id: UUID | None
    stage: Stage
    promised_on: date | None
    urgency: Urgency
    arrives_by: ArrivesBy
    notes: str
    waits_on: list[Waits]
    opened_at: AwareDatetime


class ComplaintRecord(Schema):
    """The customer's own words, and when it happens."""

    id: UUID
    job_id: UUID
    words: RequiredText
    happens_when: OptionalText = ""


class ComplaintRow(Row):
    job_id: UUID
    words: str
    happens_when: str
    taken_by_id: UUID | None


class FindingFields(Schema):
    """What may be edited of a finding: the fault, what happens if it is left, and how much it matters."""

    words: RequiredText
    consequence: OptionalText = ""
    rank: FindingRank


class FindingRecord(FindingFields):
    """A fault found on a job; `again_of_id` is one that was declined on an earlier visit and is taken up again."""

    id: UUID
    job_id: UUID
    again_of_id: UUID | None = None


class FindingRow(Row):
    job_id: UUID
    words: str
    consequence: str
    rank: FindingRank
    decided: Decision
    found_by_id: UUID | None
    again_of_id: UUID | None


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


class PartSearch(Schema):
    """One try to get a part: where was asked, and the answer. Evidence that it cannot be had."""

    where: Name
    answer: RequiredText
    asked_at: Moment


class PartSearchRecord(PartSearch):
    """A try to get the part for a safety item, which `id` names."""

    id: UUID


class PartSearchRow(PartSearch):
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
