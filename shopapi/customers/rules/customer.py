"""Shapes of customers and their sites."""

import re
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.shape import Aside, DecimalText, Label, Name, Notes, Row, Shape

Latitude = Annotated[DecimalText, Field(ge=-90, le=90)]
Longitude = Annotated[DecimalText, Field(ge=-180, le=180)]


class CustomerFields(Shape):
    """What may be edited of a customer."""

    name: Name
    person: Label = ""
    phone: Label = ""
    email: Label = ""
    address: Aside = ""
    notes: Notes = ""
    tax_exempt: bool = False
    exempt_reason: Label = ""
    archived: bool = False


class NewCustomer(CustomerFields):
    id: UUID


class CustomerRow(Row):
    name: str
    person: str
    phone: str
    email: str
    address: str
    notes: str
    tax_exempt: bool
    exempt_reason: str
    archived: bool


class SiteFields(Shape):
    """What may be edited of a site. A position is both coordinates (WGS 84, degrees) or neither."""

    label: Name
    address: Aside = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    access_notes: Aside = ""


class NewSite(SiteFields):
    id: UUID
    customer_id: UUID


class SiteRow(Row):
    customer_id: UUID
    label: str
    address: str
    lat: DecimalText | None
    lon: DecimalText | None
    access_notes: str


def digits_of(phone: str) -> str:
    """The digits of a telephone number as typed, for finding and comparing it.

    >>> digits_of("(555) 010-4477 ext. 3")
    '55501044773'
    """
    return re.sub(r"\D", "", phone)
