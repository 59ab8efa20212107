"""Schemas of customers and their sites."""

import re
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.schema import DecimalText, Label, LongText, Name, OneLine, OptionalText, Row, Schema

# A name made from an address stays short enough for a list.
PLACE_NAME_CHARACTERS = 60

Latitude = Annotated[DecimalText, Field(ge=-90, le=90)]
Longitude = Annotated[DecimalText, Field(ge=-180, le=180)]


class CustomerFields(Schema):
    """What may be edited of a customer."""

    name: Name
    person: Label = ""
    phone: Label = ""
    email: OneLine = ""
    address: OptionalText = ""
    notes: LongText = ""
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


class SiteFields(Schema):
    """What may be edited of a site. A position is both coordinates (WGS 84, degrees) or neither."""

    label: Name
    address: OptionalText = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    access_notes: OptionalText = ""


class NewSite(SiteFields):
    """A new site; one without a label is called by what is known of it (`name_of_site`)."""

    label: Label = ""
    id: UUID
    customer_id: UUID


class SiteRow(Row):
    customer_id: UUID
    label: str
    address: str
    lat: DecimalText | None
    lon: DecimalText | None
    access_notes: str


def name_of_site(site: SiteFields) -> str:
    r"""The name of a site without a name: the first line of its address or directions; empty without any.

    Twin: `placeName` in `pwa/src/domain/geo/places.ts`.

    >>> name_of_site(NewSite(id=UUID(int=0), customer_id=UUID(int=1), address="12 Alder Row\nBellwether"))
    '12 Alder Row'
    """
    position = "" if site.lat is None or site.lon is None else f"{site.lat.normalize():f}, {site.lon.normalize():f}"
    known = next(filter(None, (site.label.strip(), site.address.strip(), site.access_notes.strip(), position)), "")
    return known.split("\n", 1)[0].strip()[:PLACE_NAME_CHARACTERS]


def digits_of(phone: str) -> str:
    """The digits of a telephone number as typed, for finding and comparing it.

    >>> digits_of("(555) 010-4477 ext. 3")
    '55501044773'
    """
    return re.sub(r"\D", "", phone)
