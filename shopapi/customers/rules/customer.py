"""Schemas of customers and their sites."""

import re
from collections.abc import Collection
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import DecimalText, Label, LongText, Name, OneLine, OptionalText, Row, Schema
from shopapi.customers.rules.countries import Country

# A name made from an address stays short enough for a list.
PLACE_NAME_CHARACTERS = 60

# Whence a position comes: as somebody entered it; the phone's own place; a tap on the drawing; the postal code of the
# address; a service that finds addresses.
PositionSource = TypeAliasType("PositionSource", Literal["", "here", "map", "postal_code", "address"])
# Found by the server itself, so a better one replaces it.
DERIVED: Collection[PositionSource] = ("postal_code", "address")

# How a customer asked to be contacted; empty: they did not say.
ContactWish = TypeAliasType("ContactWish", Literal["", "call", "text", "email"])

Latitude = Annotated[DecimalText, Field(ge=-90, le=90)]
Longitude = Annotated[DecimalText, Field(ge=-180, le=180)]


class CustomerFields(Schema):
    """What may be edited of a customer. `country`: of the address; empty: the shop's."""

    name: Name
    person: Label = ""
    phone: Label = ""
    second_phone: Label = ""
    email: OneLine = ""
    contact_by: ContactWish = ""
    address: OptionalText = ""
    country: Country = ""
    notes: LongText = ""
    tax_exempt: bool = False
    exempt_reason: Label = ""
    archived: bool = False
    language: Language = ENGLISH


class NewCustomer(CustomerFields):
    id: UUID


class CustomerRow(Row):
    name: str
    person: str
    phone: str
    second_phone: str
    email: str
    contact_by: ContactWish
    address: str
    country: str
    notes: str
    tax_exempt: bool
    exempt_reason: str
    archived: bool
    language: Language


class SiteFields(Schema):
    """What may be edited of a site. A position is both coordinates (WGS 84, degrees) or neither.

    `position_within_m`: how far the place may be from there; None where nobody knows.
    """

    label: Name
    address: OptionalText = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    position_source: PositionSource = ""
    position_within_m: Annotated[int, Field(ge=0, le=100_000)] | None = None
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
    position_source: PositionSource
    position_within_m: int | None
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


def place_lines(label: str, address: str) -> tuple[str, ...]:
    """The label and the address of a site as lines; one line where the address begins with the label.

    Twin: `placeLines` in `pwa/src/domain/geo/places.ts`.

    >>> place_lines("12 Mill Road", "12 Mill Road, Stroud"), place_lines("The cabin", "12 Mill Road")
    (('12 Mill Road, Stroud',), ('The cabin', '12 Mill Road'))
    """
    repeated = address == label or address.startswith((f"{label}\n", f"{label},"))
    return tuple(filter(None, (address,) if repeated else (label, address)))


def digits_of(phone: str) -> str:
    """The digits of a telephone number as typed, for finding and comparing it.

    >>> digits_of("(555) 010-4477 ext. 3")
    '55501044773'
    """
    return re.sub(r"\D", "", phone)


def digits_of_both(phone: str, second_phone: str) -> str:
    """The digits of a customer's numbers, for finding them: separated, so that no number runs on into the other.

    >>> digits_of_both("555 010-4477", ""), digits_of_both("555 010-4477", "555 0199")
    ('5550104477', '5550104477 5550199')
    """
    return " ".join(filter(None, map(digits_of, (phone, second_phone))))
