"""Calculators of the bench: inputs as typed, an answer with its working, named sources."""

from collections.abc import Mapping

from shopapi.bench.rules.calculators.answers import Calculator
from shopapi.bench.rules.calculators.battery import BATTERY
from shopapi.bench.rules.calculators.belt_speed import BELT_SPEED
from shopapi.bench.rules.calculators.charging import CHARGING
from shopapi.bench.rules.calculators.conversion import CONVERSION
from shopapi.bench.rules.calculators.coolant import COOLANT
from shopapi.bench.rules.calculators.cylinders import COMPRESSION, LEAK_DOWN
from shopapi.bench.rules.calculators.fastener_torque import FASTENER_TORQUE
from shopapi.bench.rules.calculators.fuel_mix import FUEL_MIX
from shopapi.bench.rules.calculators.wrench_adapter import WRENCH_ADAPTER

CALCULATORS: Mapping[str, Calculator] = {
    each.name: each
    for each in (
        CONVERSION,
        FASTENER_TORQUE,
        WRENCH_ADAPTER,
        BATTERY,
        CHARGING,
        COMPRESSION,
        LEAK_DOWN,
        COOLANT,
        FUEL_MIX,
        BELT_SPEED,
    )
}
