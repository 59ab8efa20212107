"""The wire schemas of rigs: truck, trailer, deck, breaks, and a breakdown. Whole centimetres and kilograms."""

from fractions import Fraction
from typing import Annotated, Any, cast
from uuid import UUID

from pydantic import AwareDatetime, Field, GetJsonSchemaHandler, SerializerFunctionWrapHandler, model_serializer
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, Moment, Name, OptionalText, Row, Schema
from shopapi.core.units import TypedFigures, TypedLength, TypedWeight, exact_or_none
from shopapi.customers.rules.customer import Latitude, Longitude
from shopapi.dispatch.rules.schemas.clock import ClockTime
from shopapi.machines.rules import Centimeters, Kilograms


class MeasuredFields(Schema):
    """A group of weights and lengths. `typed`: by field name, the text that was typed, such as "900 lb"."""

    typed: TypedFigures = {}

    @model_serializer(mode="wrap")
    def _last_and_only_if_any(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        # An empty `typed` is omitted, so that a group stored before it existed compares equal in an edit.
        figures: dict[str, Any] = handler(self)
        typed = figures.pop("typed")
        return figures | ({"typed": dict(sorted(typed.items()))} if typed else {})

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        # The serializer omits an empty field, but the JSON schema must still describe it.
        described = cast("CoreSchema", {name: part for name, part in core_schema.items() if name != "serialization"})
        return handler(described)

    def exact(self, name: str) -> Fraction | None:
        """The unrounded value of a field; None: not entered."""
        return exact_or_none(getattr(self, name), self.typed.get(name, ""))


class DeckFields(MeasuredFields):
    """The trailer's deck. `height_cm`: ground to deck, hitched; `slots`: machines at most; `lanes`: side by side."""

    length_cm: Centimeters | None = None
    width_cm: Centimeters | None = None
    height_cm: Centimeters | None = None
    slots: Annotated[int, Field(ge=1, le=12)] = 1
    lanes: Annotated[int, Field(ge=1, le=4)] = 1


class TrailerFields(MeasuredFields):
    """The empty trailer, with its ratings.

    `tongue_kg`: on the ball when empty; `axle_cm`, `deck_cm`: from the ball to the middle of the axles, and to the
    front of the deck; `gawr_kg` is of one axle, `tires_kg` of all tires together.
    """

    empty_kg: Kilograms | None = None
    tongue_kg: Kilograms | None = None
    axle_cm: Centimeters | None = None
    deck_cm: Centimeters | None = None
    axles: Annotated[int, Field(ge=1, le=4)] = 1
    track_cm: Centimeters | None = None
    gvwr_kg: Kilograms | None = None
    gawr_kg: Kilograms | None = None
    tires_kg: Kilograms | None = None
    coupler_kg: Kilograms | None = None


class TruckFields(MeasuredFields):
    """The truck ready to drive (people, fuel and tools), with its ratings. `overhang_cm`: rear axle to ball."""

    ready_kg: Kilograms | None = None
    gvwr_kg: Kilograms | None = None
    gcwr_kg: Kilograms | None = None
    hitch_kg: Kilograms | None = None
    hitch_tongue_kg: Kilograms | None = None
    ball_kg: Kilograms | None = None
    rear_ready_kg: Kilograms | None = None
    rear_gawr_kg: Kilograms | None = None
    wheelbase_cm: Centimeters | None = None
    overhang_cm: Centimeters | None = None


class BreakFields(Schema):
    """A break of some minutes that may start between `opens` and `closes`."""

    opens: ClockTime
    closes: ClockTime
    minutes: Annotated[int, Field(ge=1, le=240)]


class RigFields(Schema):
    """The editable fields of a rig. `payload_kg`: limit of the machines' weight; `straps`: number of tie-downs.

    `strap_wll_kg`: working load limit of each, by its weakest part; `straps_cross`: they go over the machine to the
    other side of the deck, so that all of the limit counts and not half. `trailer` None: it has none. Without a home
    of its own it is in the yard overnight. `crew`: how many people go along.
    """

    name: Name
    driver_id: UUID | None = None
    crew: Annotated[int, Field(ge=1, le=4)] = 1
    payload_kg: Kilograms
    payload_typed: TypedWeight = ""
    deck: DeckFields = DeckFields()
    trailer: TrailerFields | None = None
    truck: TruckFields | None = None
    winch: bool = False
    ramp_length_cm: Centimeters | None = None
    ramp_length_typed: TypedLength = ""
    ramp_full_width: bool = False
    straps: Annotated[int, Field(ge=0, le=99)] | None = None
    strap_wll_kg: Kilograms | None = None
    strap_wll_typed: TypedWeight = ""
    straps_cross: bool = False
    home_lat: Latitude | None = None
    home_lon: Longitude | None = None
    shift_opens: ClockTime = "07:00"
    shift_closes: ClockTime = "17:00"
    breaks: Annotated[list[BreakFields], Field(max_length=4)] = []
    active: bool = True


class NewRig(RigFields):
    id: UUID


class RigRow(Row):
    """A rig as synced to devices. `out_at`: broken down since then; `out_note`: what happened."""

    name: str
    driver_id: UUID | None
    crew: int
    payload_kg: int
    payload_typed: str
    deck: DeckFields
    trailer: TrailerFields | None
    truck: TruckFields | None
    winch: bool
    ramp_length_cm: int | None
    ramp_length_typed: str
    ramp_full_width: bool
    straps: int | None
    strap_wll_kg: int | None
    strap_wll_typed: str
    straps_cross: bool
    home_lat: DecimalText | None
    home_lon: DecimalText | None
    shift_opens: str
    shift_closes: str
    breaks: list[BreakFields]
    active: bool
    out_at: AwareDatetime | None
    out_note: str


class Breakdown(Schema):
    """A rig that broke down, and where; without a position its last known one is used.

    The rest of today is planned again automatically, with the id `plan_id` if one is given. A second report of the
    same rig updates what happened and where.
    """

    id: UUID
    at: Moment
    note: OptionalText = ""
    lat: Latitude | None = None
    lon: Longitude | None = None
    place: Label = ""
    plan_id: UUID | None = None


def faults_of_rig(rig: RigFields) -> list[FieldError]:
    """The contradictions in a rig's fields. Twin: `faultsOfRig` in `pwa/src/domain/dispatch/rigFaults.ts`."""
    faults = []
    if rig.shift_closes <= rig.shift_opens:
        faults.append(FieldError("shift_closes", "shift_ends_first"))
    if (rig.home_lat is None) != (rig.home_lon is None):
        faults.append(FieldError("home_lat", "half_a_place", message="half_a_home"))
    height = rig.deck.height_cm
    if rig.ramp_length_cm is not None and height is not None and rig.ramp_length_cm <= height:
        faults.append(FieldError("ramp_length_cm", "ramp_too_short"))
    for at, rest in enumerate(rig.breaks):
        if rest.closes < rest.opens:
            faults.append(FieldError(f"breaks.{at}.closes", "break_ends_first"))
    return faults
