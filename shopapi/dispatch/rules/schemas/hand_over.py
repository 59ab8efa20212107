"""The wire schemas of hand-overs."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field
from typing_extensions import TypeAliasType

from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import Label, MinorUnits, Moment, OptionalText, Row, Schema, Text
from shopapi.dispatch.rules.schemas.stop import JobStopKind
from shopapi.machines.rules import Hours
from shopapi.quotes.rules.schemas import Ink

Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Note = Annotated[Text, Field(max_length=60)]
Fuel = TypeAliasType("Fuel", Literal["unknown", "empty", "low", "half", "full", "electric"])
MeterAnomaly = TypeAliasType("MeterAnomaly", Literal["", "lower", "too_fast"])
PartCondition = TypeAliasType("PartCondition", Literal["good", "worn", "damaged", "missing"])


class ConditionItem(Schema):
    """The condition of one part: `part` is a key of the phone's checklist ("hood") or typed text."""

    part: Annotated[Text, Field(min_length=1, max_length=60)]
    state: PartCondition
    note: OptionalText = ""


class HandOverMeter(Schema):
    """The hour meter at the hand-over, stored as a reading with this id."""

    id: UUID
    hours: Hours
    new_segment: bool = False


class HandOverRecord(Schema):
    """The condition of a machine that changed hands. `runs` None: not tried.

    `acknowledged`: the texts of the open safety items that the customer was shown. `language`: in which the customer
    read it. `digest`: SHA-256, in hexadecimal, of all other fields but `signature`, defaults included but English as
    `language`, as canonical JSON by RFC 8785 (JCS), texts not normalized; it is what the customer signs.
    """

    id: UUID
    stop_id: UUID
    at: Moment
    condition: Annotated[list[ConditionItem], Field(max_length=60)] = []
    meter: HandOverMeter | None = None
    keys: Label = ""
    fuel: Fuel = "unknown"
    accessories: OptionalText = ""
    runs: bool | None = None
    made_safe: Annotated[list[Note], Field(max_length=20)] = []
    as_left: Annotated[list[Note], Field(max_length=20)] = []
    acknowledged: Annotated[list[OptionalText], Field(max_length=40)] = []
    amount_due_minor: MinorUnits | None = None
    signer_name: Label = ""
    language: Language = ENGLISH
    digest: Digest | None = None
    signature: Ink | None = None


class HandOverRow(Row):
    """A hand-over as synced to devices. `matches`: the signed digest is that of the stored data.

    `meter_anomaly`: the reading is "lower" than the last one, or rose by more hours than passed ("too_fast").
    """

    stop_id: UUID
    job_id: UUID
    kind: JobStopKind
    at: AwareDatetime
    member_id: UUID | None
    condition: list[ConditionItem]
    reading_id: UUID | None
    meter_anomaly: MeterAnomaly
    keys: str
    fuel: Fuel
    accessories: str
    runs: bool | None
    made_safe: list[str]
    as_left: list[str]
    acknowledged: list[str]
    amount_due_minor: int | None
    signer_name: str
    language: Language
    digest: str | None
    matches: bool | None
    signature_id: UUID | None
