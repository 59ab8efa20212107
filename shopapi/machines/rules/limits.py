"""Limits: what a measured value has to be, with its unit as printed; compared by values in SI units.

Twin: `pwa/src/domain/machines/limits.ts`; both run `fixtures/machines/limits.json`.
"""

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Protocol
from uuid import UUID

from pydantic import StringConstraints

from shopapi.core.errors import FieldError
from shopapi.core.quantities import UNITS, Quantity, UnitKey, to_si
from shopapi.core.schema import Label, Name, Row, Schema

AMOUNT = r"-?[0-9]{1,9}(\.[0-9]{1,6})?"
# A figure as typed, in the unit beside it, so that "0.010" stays "0.010"; empty: none.
TypedAmount = Annotated[str, StringConstraints(pattern=rf"^({AMOUNT})?$")]


class LimitFields(Schema):
    """What may be edited of a limit.

    `nominal` with `tolerance` (both ways), or `low` and `high`, of which one may be missing; `nominal` may also stand
    between `low` and `high`, or alone, which decides nothing. All figures are in `unit`. `condition`: when it holds
    ("cold", "oiled"). `manual` and `page`: where it is printed; empty: no source.
    """

    what: Name
    quantity: Quantity
    unit: UnitKey
    nominal: TypedAmount = ""
    tolerance: TypedAmount = ""
    low: TypedAmount = ""
    high: TypedAmount = ""
    condition: Label = ""
    manual: Label = ""
    page: Label = ""
    critical: bool = False


class NewLimit(LimitFields):
    """A limit on a sheet. `machine_id` and `job_mark`: the machine and the job that it was learned from, if any."""

    id: UUID
    sheet_id: UUID
    machine_id: UUID | None = None
    job_mark: Label = ""


class LimitRow(Row):
    sheet_id: UUID
    what: str
    quantity: Quantity
    unit: str
    nominal: str
    tolerance: str
    low: str
    high: str
    condition: str
    manual: str
    page: str
    critical: bool
    version: int
    machine_id: UUID | None
    job_mark: str


class LimitSnapshot(LimitFields):
    """A limit as it was when something was measured against it; later changes leave this copy alone."""

    limit_id: UUID
    version: int


def limit_snapshot(limit: LimitRow) -> LimitSnapshot:
    """The copy of a limit that is stored with a reading."""
    fields = {name: getattr(limit, name) for name in LimitFields.model_fields}
    return LimitSnapshot(limit_id=limit.id, version=limit.version, **fields)


class Bounded(Protocol):
    """What has the figures of a limit: its fields, its row or its snapshot."""

    @property
    def unit(self) -> str: ...
    @property
    def nominal(self) -> str: ...
    @property
    def tolerance(self) -> str: ...
    @property
    def low(self) -> str: ...
    @property
    def high(self) -> str: ...


def bounds_of(limit: Bounded) -> tuple[Decimal | None, Decimal | None]:
    """The lowest and the highest value that are within a limit, in its unit; None: open on that side.

    >>> bounds_of(LimitFields(what="air gap", quantity="length", unit="in", nominal="0.016", tolerance="0.008"))
    (Decimal('0.008'), Decimal('0.024'))
    """
    if limit.nominal and limit.tolerance:
        nominal, tolerance = Decimal(limit.nominal), Decimal(limit.tolerance)
        return nominal - tolerance, nominal + tolerance
    return _figure(limit.low), _figure(limit.high)


def bounds_in_si(limit: Bounded) -> tuple[Fraction | None, Fraction | None]:
    """As `bounds_of`, exact and in the base unit of the quantity."""
    low, high = (None if bound is None else to_si(bound, limit.unit) for bound in bounds_of(limit))
    return low, high


def _figure(typed: str) -> Decimal | None:
    return Decimal(typed) if typed else None


def limit_faults(limit: LimitFields) -> list[FieldError]:
    """What is wrong with a limit as a whole, by field; empty: nothing."""
    faults = []
    if UNITS[limit.unit].quantity != limit.quantity:
        faults.append(FieldError("unit", "unit_of_another_quantity", context={"unit": limit.unit}))
    if limit.tolerance:
        faults += _tolerance_faults(limit)
    elif not (limit.nominal or limit.low or limit.high):
        faults.append(FieldError("nominal", "limit_empty"))
    else:
        faults += _order_faults(limit)
    return faults


def _tolerance_faults(limit: LimitFields) -> list[FieldError]:
    faults = []
    if not limit.nominal:
        faults.append(FieldError("nominal", "tolerance_of_nothing"))
    if Decimal(limit.tolerance) < 0:
        faults.append(FieldError("tolerance", "tolerance_negative"))
    faults += [FieldError(name, "limit_twice") for name in ("low", "high") if getattr(limit, name)]
    return faults


def _order_faults(limit: LimitFields) -> list[FieldError]:
    low, nominal, high = map(_figure, (limit.low, limit.nominal, limit.high))
    if low is not None and high is not None and low > high:
        return [FieldError("high", "limit_upside_down")]
    if nominal is not None and ((low is not None and nominal < low) or (high is not None and nominal > high)):
        return [FieldError("nominal", "nominal_outside")]
    return []
