"""Suppliers: where parts come from, how one orders there, and when parts can be fetched."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from shopapi.accounts.rules import ClockTime, WeekDay
from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, Name, OneLine, OptionalText, Row, Schema, Text
from shopapi.customers.rules.customer import Latitude, Longitude


class OrderBy(TextEnum):
    """How the shop orders from a supplier. COUNTER: somebody drives there and buys."""

    MAIL = "mail"
    MESSAGE = "message"
    PHONE = "phone"
    COUNTER = "counter"


class SupplierFields(Schema):
    """What may be edited of a supplier.

    `customer_number`: the shop's number there. `lead_days`: business days from order to arrival, assumed while the shop
    has no orders to go by; None: nobody knows. `archived`: no longer ordered from.
    `opens`, `closes`: its hours, in the shop's zone, on the days `open_on`; empty: not known, so any time and any day.
    `stop_minutes`: how long fetching parts there takes; None: as usual.
    """

    name: Name
    email: OneLine = ""
    phone: Label = ""
    website: Annotated[Text, Field(max_length=200)] = ""
    customer_number: Label = ""
    order_by: OrderBy = OrderBy.MAIL
    lead_days: Annotated[int, Field(ge=0, le=365)] | None = None
    note: OptionalText = ""
    archived: bool = False
    address: OptionalText = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    opens: ClockTime | Literal[""] = ""
    closes: ClockTime | Literal[""] = ""
    open_on: Annotated[list[WeekDay], Field(max_length=7)] = []
    stop_minutes: Annotated[int, Field(ge=1, le=720)] | None = None


class NewSupplier(SupplierFields):
    id: UUID


class SupplierRow(Row):
    name: str
    email: str
    phone: str
    website: str
    customer_number: str
    order_by: OrderBy
    lead_days: int | None
    note: str
    archived: bool
    address: str
    lat: DecimalText | None
    lon: DecimalText | None
    opens: str
    closes: str
    open_on: list[WeekDay]
    stop_minutes: int | None


def faults_of_supplier(supplier: SupplierFields) -> list[FieldError]:
    """The contradictions in a supplier's fields. Twin: `faultsOfSupplier` in `pwa/src/domain/parts/suppliers.ts`."""
    faults = []
    if (supplier.lat is None) != (supplier.lon is None):
        faults.append(FieldError("lat", "half_a_place", message="half_a_supplier"))
    if bool(supplier.opens) != bool(supplier.closes):
        faults.append(FieldError("closes" if supplier.opens else "opens", "half_opening_hours"))
    elif supplier.opens and supplier.closes <= supplier.opens:
        faults.append(FieldError("closes", "supplier_ends_first"))
    return faults
