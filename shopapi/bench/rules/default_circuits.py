"""Circuits to begin with, by kind of machine: the owner changes them to what the machine's wiring diagram shows.

The logic is that of published operators' manuals: it cranks with the brake set, the PTO off and the traction in
neutral; it stops when the operator rises with the PTO on or the brake released, or backs up with the PTO on without
the maker's reverse key. How often which kind of part fails is an assumption, without a source.
Twin: `pwa/src/domain/bench/defaultCircuits.ts`; both give `fixtures/bench/circuits.json`.
"""

from typing import Literal

from typing_extensions import TypeAliasType

from shopapi.bench.rules.circuit import CircuitContact, CircuitModel, CircuitPart, CircuitPartKind, CircuitWay, Control

DefaultCircuit = TypeAliasType("DefaultCircuit", Literal["geared", "hydrostatic", "zero_turn"])

K = CircuitPartKind
# Key, kind, name.
CRANK_PARTS = (
    ("battery", K.BATTERY, "Battery and its cables"),
    ("fuse", K.FUSE, "Fuse"),
    ("key_start", K.SWITCH, "Key switch, start contacts"),
    ("brake_start", K.SWITCH, "Brake switch, start contacts"),
    ("pto_start", K.SWITCH, "PTO switch, start contacts"),
    ("neutral", K.SWITCH, "Neutral switch"),
    ("plug", K.CONNECTOR, "Plug at the solenoid"),
    ("solenoid", K.SOLENOID, "Solenoid"),
    ("starter", K.STARTER, "Starter and ground strap"),
)
KILL_PARTS = (
    ("seat", K.SWITCH, "Seat switch"),
    ("brake_stop", K.SWITCH, "Brake switch, stop contacts"),
    ("pto_stop", K.SWITCH, "PTO switch, stop contacts"),
    ("reverse", K.SWITCH, "Reverse switch"),
    ("override", K.SWITCH, "Reverse key"),
    ("key_stop", K.SWITCH, "Key switch, stop contacts"),
    ("lead", K.WIRE, "Kill lead"),
    ("rubbed", K.WIRE, "Kill lead rubbed through to the frame"),
    ("module", K.MODULE, "Ignition module"),
)
# Which control closes a switch, and in which state.
CLOSED_BY: dict[str, tuple[Control, bool]] = {
    "key_start": (Control.KEY, True),
    "brake_start": (Control.BRAKE, True),
    "pto_start": (Control.PTO, False),
    "neutral": (Control.NEUTRAL, True),
    "seat": (Control.SEAT, False),
    "brake_stop": (Control.BRAKE, False),
    "pto_stop": (Control.PTO, True),
    "reverse": (Control.REVERSE, True),
    "override": (Control.OVERRIDE, False),
    "key_stop": (Control.KEY, False),
}
# Parts that conduct only once they are at fault.
NEVER = ("rubbed", "module")
KILL_WAYS = (
    ("seat", "pto_stop", "lead"),
    ("seat", "brake_stop", "lead"),
    ("reverse", "pto_stop", "override", "lead"),
    ("key_stop", "lead"),
    ("rubbed",),
    ("module",),
)
LEFT_OUT: dict[str, tuple[str, ...]] = {
    "geared": ("neutral",),
    "hydrostatic": (),
    "zero_turn": ("reverse", "override"),
}
NAMES: dict[str, dict[str, str]] = {
    "zero_turn": {
        "neutral": "Lever switches, start contacts",
        "brake_start": "Parking brake switch, start contacts",
        "brake_stop": "Parking brake switch, stop contacts",
    }
}


def default_circuit(kind: DefaultCircuit) -> CircuitModel:
    """The circuit to begin with for a kind of machine."""
    left_out, names = LEFT_OUT[kind], NAMES.get(kind, {})
    parts = [
        CircuitPart(key=key, kind=part_kind, name=names.get(key, name))
        for key, part_kind, name in (*CRANK_PARTS, *KILL_PARTS)
        if key not in left_out
    ]
    crank = [key for key, _, _ in CRANK_PARTS if key not in left_out]
    kill = [way for way in KILL_WAYS if not set(way) & set(left_out)]
    return CircuitModel(parts=parts, crank=[_way(crank)], kill=[_way(way) for way in kill])


def _way(keys: list[str] | tuple[str, ...]) -> CircuitWay:
    return CircuitWay(contacts=[_contact(key) for key in keys])


def _contact(key: str) -> CircuitContact:
    control, closed = CLOSED_BY.get(key, (None, key not in NEVER))
    return CircuitContact(part=key, control=control, closed=closed)
