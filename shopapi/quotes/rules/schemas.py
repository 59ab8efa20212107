"""Wire schemas of price books, quotes, lines, approvals and reports."""

from datetime import date
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import AfterValidator, AwareDatetime, Field, WithJsonSchema
from typing_extensions import TypeAliasType

from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import DecimalText, Label, MinorUnits, Moment, Name, OptionalText, Row, Schema, Text
from shopapi.jobs.rules import Decision, Stage
from shopapi.labor.rules.schemas import ApartRow
from shopapi.quotes.rules.confirmed import PricePart
from shopapi.quotes.rules.lines import Discount, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices, TaxProfile
from shopapi.quotes.rules.states import QuoteState
from shopapi.quotes.rules.totals import QuoteTotals

Mark = Annotated[Text, Field(max_length=20)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
How = TypeAliasType("How", Literal["glass", "link", "call", "in_person"])
QuoteKind = TypeAliasType("QuoteKind", Literal["first", "added"])

MOST_STROKES = 400
MOST_POINTS = 20_000
BOX = 10_000


def _ink(strokes: list[list[list[int]]]) -> list[list[list[int]]]:
    points = [point for stroke in strokes for point in stroke]
    if len(strokes) > MOST_STROKES or len(points) > MOST_POINTS:
        raise ValueError("ink_too_long")
    for x, y, *rest in (point if len(point) in (3, 4) else (-1, -1) for point in points):
        if not (0 <= x <= BOX and 0 <= y <= BOX) or any(not 0 <= value <= 10**9 for value in rest):
            raise ValueError("ink_malformed")
    return strokes


Strokes = Annotated[
    list[list[list[int]]],
    AfterValidator(_ink),
    WithJsonSchema(
        {
            "type": "array",
            "items": {"type": "array", "items": {"type": "array", "items": {"type": "integer"}}},
            "description": "Strokes of points [x, y, milliseconds, pressure?]; x and y in 0 to 10000 of the box.",
        }
    ),
]


FreeDays = Annotated[int, Field(ge=0, le=365)]
TermAmount = Annotated[int, Field(ge=0, le=10**9)]


class IntakeTermsRecord(Schema):
    """What a customer was told and accepted at intake: who, when, and the figures of that day in minor units.

    None: that was not told. `diagnosis_credited`: the fee is credited against the repair. `storage_cap_minor`: the most
    that storage comes to.
    """

    id: UUID
    job_id: UUID
    diagnosis_fee_minor: TermAmount | None = None
    diagnosis_credited: bool = False
    storage_free_days: FreeDays | None = None
    storage_per_day_minor: TermAmount | None = None
    storage_cap_minor: TermAmount | None = None
    accepted_by_name: Name
    accepted_at: Moment


class IntakeTermsRow(Row):
    job_id: UUID
    diagnosis_fee_minor: int | None
    diagnosis_credited: bool
    storage_free_days: int | None
    storage_per_day_minor: int | None
    storage_cap_minor: int | None
    accepted_by_name: str
    accepted_at: AwareDatetime
    member_id: UUID | None


class PriceBookFields(Schema):
    """The editable fields of a price book: all prices as one value, since they are consistent only together.

    `confirmed` names the parts that the editor has looked at. They add up, and `base` says nothing of them; an edit of
    the prices that leaves it out confirms every part.
    """

    prices: ShopPrices
    confirmed: tuple[PricePart, ...] = ()


class PriceBookRow(Row):
    """A price book as synced to devices, without mark-ups where costs are hidden. Its id is the shop's.

    `confirmed`: the parts that a person has entered or looked at. No quote is offered before all are.
    """

    prices: ShopPrices
    confirmed: tuple[PricePart, ...]


class NewQuote(Schema):
    """A new draft. `basis` is the price book it is calculated by, with the one tax profile of its day.

    `replaces_id`: a revision of that quote, which is valid until this one is offered (decided, if it was decided).
    """

    id: UUID
    job_id: UUID
    kind: QuoteKind = "first"
    mark: Mark = ""
    basis: ShopPrices
    note: OptionalText = ""
    replaces_id: UUID | None = None


class QuoteFields(Schema):
    """The editable fields of a draft."""

    note: OptionalText = ""
    discount: Discount = Discount()
    valid_until: date | None = None


class TaxChoice(Schema):
    """The new tax profile of a draft: one of the shop's, with all its fields."""

    id: UUID
    tax_profile: TaxProfile


class PutLine(QuoteLine):
    """A whole line, new or replaced."""

    quote_id: UUID
    finding_id: UUID | None = None


class Shown(Schema):
    """The names shown to the customer, stored with the offer so that later changes do not affect it.

    `language`: that of the offer and its PDF.
    """

    shop: Name
    customer: Name
    machine: Annotated[Text, Field(max_length=600)]
    exempt: bool
    language: Language = ENGLISH


class Offer(Schema):
    """An offer as shown on the phone: its last day, digest, total and names.

    `digest`: SHA-256, in hexadecimal, of the offer document as canonical JSON by RFC 8785 (JCS), texts not normalized.
    The document contains what the customer is shown: names, lines, amounts, terms, last day; its `format` is
    "drawbar-offer-" with the version of the calculation rules and "-rfc8785". `fixtures/pricing/offer.json` has a whole
    one with its canonical form.

    `offered_on`: the shop's day on which it was shown, if that was before it was sent (no signal); None: today.
    """

    id: UUID
    valid_until: date
    digest: Digest
    total_minor: MinorUnits
    shown: Shown | None = None
    offered_on: date | None = None


class OfferDocument(Schema):
    """What is to be confirmed when a quote is offered, or what was offered: the exact text, and its digest.

    `document` has everything the customer is shown: names, lines, amounts in minor units, terms, the last day.
    `canonical` is the same as canonical JSON by RFC 8785 (JCS): keys sorted, no spaces, no other normalization.
    `digest` is the SHA-256 of the UTF-8 bytes of `canonical`, in hexadecimal; offering and deciding name it.
    `valid_until`, `total_minor` and `shown` go into the offer unchanged.
    """

    quote_id: UUID
    document: dict[str, Any]
    canonical: str
    digest: Digest
    valid_until: date
    total_minor: int
    shown: Shown


class Ink(Schema):
    id: UUID
    strokes: Strokes
    width: Annotated[int, Field(ge=1, le=10_000)]
    height: Annotated[int, Field(ge=1, le=10_000)]


class DecisionRecord(Schema):
    """A customer's decision, line by line, about the offer with this `digest`.

    For a decision by telephone also the number and what else was agreed. It is recorded by the signed-in member.
    """

    id: UUID
    quote_id: UUID
    revision: Annotated[int, Field(ge=1, le=1000)]
    how: How
    decided_by_name: Name
    decided_at: Moment
    zone: Annotated[Text, Field(max_length=60)]
    digest: Digest
    accepted_ids: Annotated[list[UUID], Field(max_length=200)]
    declined_ids: Annotated[list[UUID], Field(max_length=200)]
    number_called: Label = ""
    conditions: OptionalText = ""
    note: OptionalText = ""
    signature: Ink | None = None


PdfState = TypeAliasType("PdfState", Literal["none", "waiting", "ready", "failed"])


class QuotePdf(Schema):
    """The state of a quote's PDF: none, waiting, ready or failed, with the reason."""

    state: PdfState
    reason: str | None
    url: str | None
    bytes: int | None


class QuoteRow(Row):
    """A quote as synced to devices; `totals` are of all lines, None while a line is incomplete."""

    job_id: UUID
    number: str | None
    mark: str
    kind: QuoteKind
    revision: int
    replaces_id: UUID | None
    state: QuoteState
    basis: ShopPrices
    discount: Discount
    note: str
    valid_until: date | None
    offered_at: AwareDatetime | None
    offer_digest: str | None
    shown: Shown | None
    totals: QuoteTotals | None
    pdf: QuotePdf


class QuoteLineRow(QuoteLine, Row):
    """A line as synced to devices; where costs are hidden, with the price computed from them."""

    quote_id: UUID
    finding_id: UUID | None
    decided: Decision


class ApprovalRow(Row):
    """The evidence of a decision. `matches` is False where it was not about the current offer and so had no effect.

    The accepted total includes tax; labor and parts are without it and before discounts on the whole quote.
    """

    quote_id: UUID
    revision: int
    how: How
    decided_by_name: str
    decided_at: AwareDatetime
    zone: str
    received_at: AwareDatetime
    digest: str
    matches: bool
    accepted_ids: list[UUID]
    declined_ids: list[UUID]
    accepted_total_minor: int | None
    accepted_labor_minor: int | None
    accepted_parts_minor: int | None
    number_called: str
    conditions: str
    note: str
    signature_id: UUID | None
    member_id: UUID | None
    device_id: UUID | None
    link_id: UUID | None


class AgreedRow(Schema):
    """What was agreed on a job (with tax), and how far its work is beyond that, by the price book.

    Of `over_minor` the price book allows `allowed_minor`; if `beyond_minor` is above 0, the customer has to be asked.
    """

    job_id: UUID
    total_minor: int
    over_minor: int
    allowed_minor: int
    beyond_minor: int


class SignatureRow(Row):
    strokes: list[list[list[int]]]
    width: int
    height: int
    signer_name: str
    digest: str


class LineProgressRow(Schema):
    """A line of labor with its clocked time. `quoted_seconds` None: a set price without hours."""

    line_id: UUID
    words: str
    operation: str
    accepted: bool
    quoted_seconds: int | None
    clocked_seconds: int


class JobProgressRow(Schema):
    """A job with all its hours, whenever clocked. `elsewhere_seconds`: for no current line."""

    job_id: UUID
    number: str
    machine: str
    stage: Stage
    quoted_seconds: int
    billed_seconds: int
    clocked_seconds: int
    efficiency_percent: DecimalText | None
    lines: list[LineProgressRow]
    elsewhere_seconds: int


class QuotedReport(Schema):
    """Quoted against clocked hours in a period.

    `billed_seconds`: accepted hours of the `finished` jobs that were last worked on in the period; efficiency: these in
    percent of all hours clocked on those jobs; recovery: in percent of all hours paid in the period.
    """

    zone: str
    first: date
    last: date
    jobs: list[JobProgressRow]
    finished: int
    billed_seconds: int
    efficiency_percent: DecimalText | None
    paid_seconds: int | None
    recovery_percent: DecimalText | None
    apart: list[ApartRow]
