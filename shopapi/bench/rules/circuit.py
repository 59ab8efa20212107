"""A machine's start and kill circuit as the owner draws it, and what is observed on it.

Each chain is a list of ways in parallel; each way is a list of contacts in series. A chain conducts if every contact
of one of its ways is closed. The engine cranks if the crank chain conducts. A kill chain that grounds stops the engine
if it conducts; one that feeds (a fuel solenoid, a battery ignition) stops it if it does not.
"""

from collections.abc import Iterator
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.schema import Name, Row, Schema, Text

MOST_PARTS = 30
MOST_TRIES = 999


class CircuitPartKind(TextEnum):
    SWITCH = "switch"
    RELAY = "relay"
    CONNECTOR = "connector"
    WIRE = "wire"
    FUSE = "fuse"
    BATTERY = "battery"
    SOLENOID = "solenoid"
    STARTER = "starter"
    MODULE = "module"


class Control(TextEnum):
    """What the person at the machine moves. SEAT: somebody sits. NEUTRAL: traction is in neutral. KEY: at START or RUN.

    OVERRIDE: the maker's own key for mowing in reverse is turned.
    """

    SEAT = "seat"
    BRAKE = "brake"
    PTO = "pto"
    NEUTRAL = "neutral"
    REVERSE = "reverse"
    OVERRIDE = "override"
    KEY = "key"


class KillBy(TextEnum):
    GROUND = "ground"
    FEED = "feed"


class CircuitCheck(TextEnum):
    """What was looked at, and what “yes” is.

    CRANK: it cranks. RUN: a running engine keeps running. VOLTAGE: there is voltage after a part of the crank chain,
    key at START. CONTINUITY: a part conducts by itself, unplugged, key out.
    """

    CRANK = "crank"
    RUN = "run"
    VOLTAGE = "voltage"
    CONTINUITY = "continuity"


class Heat(TextEnum):
    UNKNOWN = "unknown"
    COLD = "cold"
    HOT = "hot"


PartKey = Annotated[Text, Field(pattern=r"^[a-z0-9_]{1,36}$")]
Percent = Annotated[int, Field(ge=1, le=99)]


class CircuitPart(Schema):
    """A part, or one pole of a switch with several.

    `per_thousand`: how many of 1,000 machines that come in have it at fault, before any observation; None: the figure
    of its kind. `pass_percent`: in how many of 100 tries it works although it fails now and then; None: the
    circuit's figure. `minutes`: to reach and measure it; None: the usual time.
    """

    key: PartKey
    kind: CircuitPartKind
    name: Name
    per_thousand: Annotated[int, Field(ge=1, le=500)] | None = None
    pass_percent: Percent | None = None
    minutes: Annotated[int, Field(ge=1, le=240)] | None = None


class CircuitContact(Schema):
    """A part in a way: closed while `control` is as `closed` says; without a control at all times, or never."""

    part: PartKey
    control: Control | None = None
    closed: bool = True


class CircuitWay(Schema):
    contacts: Annotated[list[CircuitContact], Field(min_length=1, max_length=MOST_PARTS)]


class PassPercents(Schema):
    """In how many of 100 tries a part that fails now and then works: usually, and when hot, wet or shaken.

    Of those that apply, the lowest counts. All figures are assumptions, without a source; the owner sets them.
    """

    usual: Percent = 50
    hot: Percent = 50
    wet: Percent = 50
    shaken: Percent = 30


class CircuitModel(Schema):
    """Parts, the two chains, and the figures of a diagnosis. `minutes`: how long it may take."""

    parts: Annotated[list[CircuitPart], Field(max_length=MOST_PARTS)]
    crank: Annotated[list[CircuitWay], Field(max_length=8)]
    kill: Annotated[list[CircuitWay], Field(max_length=8)]
    kill_by: KillBy = KillBy.GROUND
    pass_percents: PassPercents = PassPercents()
    minutes: Annotated[int, Field(ge=5, le=600)] = 60


class ControlStates(Schema):
    """Where each control stands. As it starts: seated, brake set, PTO off, in neutral, key turned."""

    seat: bool = True
    brake: bool = True
    pto: bool = False
    neutral: bool = True
    reverse: bool = False
    override: bool = False
    key: bool = True


class Observation(Schema):
    """What was seen: `yes` of `tries` tries. `part`: of a voltage or a continuity. `minutes`: how long it took."""

    check: CircuitCheck
    part: PartKey | None = None
    controls: ControlStates = ControlStates()
    tries: Annotated[int, Field(ge=1, le=MOST_TRIES)] = 1
    yes: Annotated[int, Field(ge=0, le=MOST_TRIES)]
    heat: Heat = Heat.UNKNOWN
    wet: bool = False
    shaken: bool = False
    minutes: Annotated[int, Field(ge=0, le=600)] = 0


class CircuitFields(Schema):
    """What may be edited of a machine's circuit."""

    name: Name
    wiring: CircuitModel


class NewCircuit(CircuitFields):
    id: UUID
    machine_id: UUID


class CircuitRow(Row):
    machine_id: UUID
    name: str
    wiring: CircuitModel


class ObservationRecord(Schema):
    """An observation on a circuit in the course of a job."""

    id: UUID
    job_id: UUID
    circuit_id: UUID
    observation: Observation


class ObservationWithdrawal(Schema):
    """Says that an earlier observation was a mistake and no longer counts."""

    id: UUID
    job_id: UUID
    circuit_id: UUID
    withdraws_id: UUID


class CircuitObservationRow(Row):
    """An observation, or the withdrawal of one: then `observation` is null."""

    job_id: UUID
    circuit_id: UUID
    observation: Observation | None
    withdraws_id: UUID | None
    seen_by_id: UUID | None


def faults_of_circuit(model: CircuitModel) -> list[FieldError]:
    """What is wrong in a circuit. Twin: `faultsOfCircuit` in `pwa/src/domain/bench/circuit.ts`."""
    faults = []
    keys = [part.key for part in model.parts]
    if len(set(keys)) < len(keys):
        faults.append(FieldError("wiring.parts", "part_twice"))
    if any(contact.part not in keys for contact in contacts_of(model)):
        faults.append(FieldError("wiring.parts", "part_unknown"))
    if not any(contact.control for contact in contacts_of(model)):
        faults.append(FieldError("wiring.parts", "circuit_without_switch"))
    return faults


def faults_of_observation(seen: Observation) -> list[FieldError]:
    """What is wrong in an observation by itself. Twin: `faultsOfObservation` in the same file."""
    faults = []
    if seen.yes > seen.tries:
        faults.append(FieldError("observation.yes", "more_than_tries", context={"tries": seen.tries}))
    if (seen.part is None) == (seen.check in (CircuitCheck.VOLTAGE, CircuitCheck.CONTINUITY)):
        faults.append(FieldError("observation.part", "measured_where"))
    return faults


def contacts_of(model: CircuitModel) -> Iterator[CircuitContact]:
    """Every contact of the crank chain, then of the kill chain."""
    return (contact for way in (*model.crank, *model.kill) for contact in way.contacts)


def is_closed(contact: CircuitContact, controls: ControlStates) -> bool:
    """Whether a contact without fault is closed."""
    if contact.control is None:
        return contact.closed
    state: bool = getattr(controls, contact.control)
    return state == contact.closed


def ways_measured(model: CircuitModel, check: CircuitCheck, part: str | None) -> list[list[CircuitContact]]:
    """The ways that a check is about; empty where the circuit no longer has its part.

    A voltage: the crank chain up to and with the part. A continuity: the part's first contact.
    """
    if check in (CircuitCheck.CRANK, CircuitCheck.RUN):
        return [way.contacts for way in (model.crank if check == CircuitCheck.CRANK else model.kill)]
    if check == CircuitCheck.CONTINUITY:
        return [[contact] for contact in contacts_of(model) if contact.part == part][:1]
    found = []
    for way in model.crank:
        places = [place for place, contact in enumerate(way.contacts) if contact.part == part]
        found += [way.contacts[: place + 1] for place in places[:1]]
    return found


def is_inverted(model: CircuitModel, check: CircuitCheck) -> bool:
    """Whether “yes” means that the chain does not conduct: an engine keeps running while it is not grounded."""
    return check == CircuitCheck.RUN and model.kill_by == KillBy.GROUND


def expects(model: CircuitModel, check: CircuitCheck, part: str | None, controls: ControlStates) -> bool:
    """Whether a circuit without fault answers yes."""
    ways = ways_measured(model, check, part)
    conducts = any(all(is_closed(contact, controls) for contact in way) for way in ways)
    return conducts != is_inverted(model, check)
