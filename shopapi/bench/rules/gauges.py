"""Gauges of the shop: what one measures, in which unit, how finely and how surely."""

from datetime import date
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import Field, StringConstraints

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.quantities import UNITS, Quantity, UnitKey
from shopapi.core.schema import Label, Name, Row, Schema

# A figure as typed, not below zero, so that "0.010" stays "0.010".
FIGURE = r"[0-9]{1,9}(\.[0-9]{1,6})?"
TypedSize = Annotated[str, StringConstraints(pattern=rf"^{FIGURE}$")]
OptionalSize = Annotated[str, StringConstraints(pattern=rf"^({FIGURE})?$")]


class GaugeKind(TextEnum):
    """measuring: shows a figure. go_no_go: only goes in or does not, such as a feeler blade."""

    MEASURING = "measuring"
    GO_NO_GO = "go_no_go"


class GaugeFields(Schema):
    """What may be edited of a gauge. All figures are in `unit`, as typed.

    `resolution`: its smallest step. `uncertainty`: its expanded uncertainty U (k = 2), as its maker or a calibration
    states it; of feeler blades their tolerance. `blades`: the sizes of a set. `archived`: no longer used.
    """

    name: Name
    kind: GaugeKind = GaugeKind.MEASURING
    quantity: Quantity
    unit: UnitKey
    resolution: OptionalSize = ""
    uncertainty: TypedSize
    blades: Annotated[list[TypedSize], Field(max_length=60)] = []
    calibrated_on: date | None = None
    notes: Label = ""
    archived: bool = False


class NewGauge(GaugeFields):
    id: UUID


class GaugeRow(Row):
    name: str
    kind: GaugeKind
    quantity: Quantity
    unit: str
    resolution: str
    uncertainty: str
    blades: list[str]
    calibrated_on: date | None
    notes: str
    archived: bool


class GaugeCopy(Schema):
    """A gauge as it was when something was measured with it; part of the reading for good."""

    gauge_id: UUID
    name: Name
    kind: GaugeKind = GaugeKind.MEASURING
    unit: UnitKey
    resolution: OptionalSize = ""
    uncertainty: TypedSize
    calibrated_on: date | None = None


def gauge_faults(gauge: GaugeFields) -> list[FieldError]:
    """What is wrong with a gauge as a whole, by field; empty: nothing."""
    faults = []
    if UNITS[gauge.unit].quantity != gauge.quantity:
        faults.append(FieldError("unit", "unit_of_another_quantity", context={"unit": gauge.unit}))
    if Decimal(gauge.uncertainty) == 0:
        faults.append(FieldError("uncertainty", "uncertainty_zero"))
    if gauge.blades and gauge.kind != GaugeKind.GO_NO_GO:
        faults.append(FieldError("blades", "blades_of_measuring_gauge"))
    return faults
