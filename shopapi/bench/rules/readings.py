"""Readings: a measured value with its unit, the gauge and the limit as they were, and the verdict.

A reading is a fact. A value typed wrong is put right by another reading that corrects it.
"""

from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.bench.rules.decisions import Verdict, decide_interval, decide_value
from shopapi.bench.rules.gauges import GaugeCopy, OptionalSize
from shopapi.core.errors import FieldError
from shopapi.core.quantities import UNITS, UnitKey, as_shown, span_to_si, to_si
from shopapi.core.schema import Label, Moment, Name, OptionalText, Row, Schema
from shopapi.machines.rules.limits import LimitFields, TypedAmount, bounds_in_si, limit_faults

# Digits of the value in SI units: more than any gauge has.
SI_DIGITS = 15


class ReadingLimit(LimitFields):
    """The limit as it was when something was measured against it. Without `limit_id`: typed at the reading itself."""

    limit_id: UUID | None = None
    version: Annotated[int, Field(ge=0)] = 0


class ReadingRecord(Schema):
    """What was measured on one job: `value` in `unit`, or between `goes` and `stops` by blades, of which one may miss.

    `repeat_of_id`: the reading that this one repeats; `second_method`: by other means. `corrects_id`: the reading whose
    value was typed wrong.
    """

    id: UUID
    job_id: UUID
    what: Name
    place: Label = ""
    value: TypedAmount = ""
    goes: OptionalSize = ""
    stops: OptionalSize = ""
    unit: UnitKey
    gauge: GaugeCopy | None = None
    limit: ReadingLimit | None = None
    repeat_of_id: UUID | None = None
    second_method: bool = False
    corrects_id: UUID | None = None
    words: OptionalText = ""
    taken_at: Moment


class ReadingRow(Row):
    job_id: UUID
    machine_id: UUID
    what: str
    place: str
    value: str
    goes: str
    stops: str
    unit: str
    si: str
    gauge: GaugeCopy | None
    limit: ReadingLimit | None
    verdict: Verdict
    repeat_of_id: UUID | None
    second_method: bool
    corrects_id: UUID | None
    words: str
    taken_at: AwareDatetime
    taken_by_id: UUID | None


def reading_faults(reading: ReadingRecord) -> list[FieldError]:
    """What is wrong with a reading as a whole, by field; empty: nothing. The phone finds the same before it saves."""
    faults = _value_faults(reading)
    quantity = UNITS[reading.unit].quantity
    for name, other in (("gauge.unit", reading.gauge), ("limit.unit", reading.limit)):
        if other is not None and UNITS[other.unit].quantity != quantity:
            faults.append(FieldError(name, "units_do_not_fit", context={"unit": reading.unit, "other": other.unit}))
    if reading.limit is not None:
        faults += [
            FieldError(f"limit.{fault.field}", fault.code, message=fault.message, context=fault.context)
            for fault in limit_faults(reading.limit)
        ]
    return faults


def _value_faults(reading: ReadingRecord) -> list[FieldError]:
    bladed = bool(reading.goes or reading.stops)
    if not reading.value and not bladed:
        return [FieldError("value", "reading_empty")]
    if reading.value and bladed:
        return [FieldError("goes", "reading_twice")]
    if reading.goes and reading.stops and Decimal(reading.goes) >= Decimal(reading.stops):
        return [FieldError("stops", "blades_upside_down")]
    return []


def si_of(reading: ReadingRecord) -> str:
    """The value in the base unit of its quantity, to 15 digits and at most 8 places; empty for blades.

    Twin: `siOf` in `pwa/src/domain/bench/readings.ts`.
    """
    return as_shown(to_si(Decimal(reading.value), reading.unit), SI_DIGITS) if reading.value else ""


def verdict_of(reading: ReadingRecord) -> Verdict:
    """What a reading without faults says about its limit. Without a gauge nobody knows how sure it is: cannot say.

    Twin: `verdictOf` in `pwa/src/domain/bench/readings.ts`; both run `fixtures/bench/readings.json`.
    """
    low, high = (None, None) if reading.limit is None else bounds_in_si(reading.limit)
    if low is None and high is None:
        return Verdict.NO_LIMIT
    if reading.gauge is None:
        return Verdict.CANNOT_SAY
    uncertainty = span_to_si(Decimal(reading.gauge.uncertainty), reading.gauge.unit)
    if reading.value:
        return decide_value(to_si(Decimal(reading.value), reading.unit), uncertainty, low, high)
    goes, stops = (to_si(Decimal(typed), reading.unit) if typed else None for typed in (reading.goes, reading.stops))
    return decide_interval(goes, stops, uncertainty, low, high)
