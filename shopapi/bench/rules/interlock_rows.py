"""The interlock test table: what the machine has to do in each state, by class of machine.

Sources: for machines that are ridden, published operator's manuals, named in `tests/bench/test_interlock_rows.py`; for
walk-behind mowers 16 CFR 1205.5(a)(1), its items (i) and (ii) from memory. The manufacturer's procedure for the machine
comes first: makers differ.

Twin: `pwa/src/domain/bench/interlockRows.ts`; both run the vectors of `fixtures/bench/interlock_rows.json`.
"""

from collections.abc import Mapping, Sequence

from shopapi.bench.rules.run_tests import MachineClass

# What it has to do, and what is seen where it does not.
EXPECTED: Mapping[str, str] = {
    "start_pto_on": "no_crank",
    "start_brake_off": "no_crank",
    "start_lever_out": "no_crank",
    "start_all_set": "cranks",
    "rise_brake_off": "stops",
    "rise_pto_on": "stops",
    "rise_all_set": "keeps_running",
    "reverse_pto_on": "stops",
    "reverse_override": "keeps_running",
    "start_control_free": "no_blade",
    "release_control": "blade_stops",
}
OPPOSITE: Mapping[str, str] = {
    "no_crank": "cranks",
    "cranks": "no_crank",
    "stops": "keeps_running",
    "keeps_running": "stops",
    "no_blade": "blade_turns",
    "blade_stops": "blade_turns",
}
_SEAT = ("rise_brake_off", "rise_pto_on", "rise_all_set")
ROWS: Mapping[MachineClass, Sequence[str]] = {
    "tractor": (
        "start_pto_on",
        "start_brake_off",
        "start_all_set",
        *_SEAT,
        "reverse_pto_on",
        "reverse_override",
    ),
    "zero_turn": ("start_pto_on", "start_brake_off", "start_lever_out", "start_all_set", *_SEAT),
    "walk_behind": ("start_control_free", "release_control"),
    "other": (),
}
