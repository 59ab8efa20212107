"""Invoices and credit notes: their states and what they are made of.

Amounts are computed by `quotes.rules.totals`, on the basis that the invoice keeps. Conventions:
- A document discount is shared pro rata among what it is taken off, by largest remainder.
- The invoice date is the tax point: the tax profile in force on that day applies. Its credit notes keep its rates.
- A credit note mirrors its invoice: its amounts are computed and rounded as positive ones by the same calculation, then
  count negative (`sign_of`). So what is credited in full comes to exactly what was billed, and a tie is rounded away
  from zero on both where it is on the invoice.
- Storage is not counted against the authorised amount: it was told at intake and is due for what came after.
- An issued invoice never changes. It is corrected by a credit note, and is cancelled once all of it is credited. A
  credit note is not credited again; a new invoice takes its place.
"""

from collections.abc import Mapping
from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.billing.rules.settings import WarrantyDays, WarrantyHours
from shopapi.core.enums import TextEnum
from shopapi.core.languages import ENGLISH, Language
from shopapi.core.schema import DecimalText, Label, LongText, MinorUnits, OptionalText, Row, Schema, Text
from shopapi.quotes.rules.lines import Discount, QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices, TaxProfile, within
from shopapi.quotes.rules.schemas import Mark, QuotePdf
from shopapi.quotes.rules.totals import QuoteTotals

MOST_INVOICE_LINES = 200


class InvoiceKind(TextEnum):
    INVOICE = "invoice"
    CREDIT_NOTE = "credit_note"


class InvoiceState(TextEnum):
    """cancelled: credited in full, by one credit note or several."""

    DRAFT = "draft"
    ISSUED = "issued"
    CANCELLED = "cancelled"


class LineSource(TextEnum):
    """Where a line came from."""

    QUOTE = "quote"
    CLOCK = "clock"
    PART = "part"
    TRAVEL = "travel"
    SUPPLIES = "supplies"
    STORAGE = "storage"
    OTHER = "other"


INVOICE_TRANSITIONS: Mapping[InvoiceState, tuple[InvoiceState, ...]] = {
    InvoiceState.DRAFT: (InvoiceState.ISSUED,),
    InvoiceState.ISSUED: (InvoiceState.CANCELLED,),
    InvoiceState.CANCELLED: (),
}


def sign_of(kind: InvoiceKind | str) -> int:
    """How the amounts of a document count in sums: those of a credit note are kept positive and count negative."""
    return -1 if kind == InvoiceKind.CREDIT_NOTE else 1


class BilledLine(QuoteLine):
    """A line of an invoice: the figures of a line of a quote, and where they came from.

    The quantity of a part, a fee or supplies may be below zero, for what is taken back on the same invoice.
    `quote_line_id` is the accepted line that it bills, `need_id` the part that was fitted, `stop_id` the trip that was
    driven. The work is under warranty
    for so many days from the invoice date and so many hours on the meter, each with its last one; None: not stated.
    """

    quantity: Annotated[DecimalText, within(-10_000, 10_000, "billed_quantity_out_of_range")] | None = None
    source: LineSource = LineSource.OTHER
    quote_line_id: UUID | None = None
    need_id: UUID | None = None
    stop_id: UUID | None = None
    warranty_days: WarrantyDays | None = None
    warranty_hours: WarrantyHours | None = None


class NewInvoice(Schema):
    """A new draft for a customer: of a job, or of what is sold without one. Somebody else may pay for a job.

    `basis`: the prices it is calculated by, with the one tax profile of its day. `lines` None: what is to be billed on
    the job is collected here, with storage where `storage` says so; otherwise these are all there are.
    """

    id: UUID
    job_id: UUID | None = None
    customer_id: UUID
    mark: Mark = ""
    basis: ShopPrices
    discount: Discount = Discount()
    note: OptionalText = ""
    lines: Annotated[tuple[BilledLine, ...], Field(max_length=MOST_INVOICE_LINES)] | None = None
    storage: bool = False


class InvoiceFields(Schema):
    """The editable fields of a draft. `due_on` None: by the shop's days."""

    note: OptionalText = ""
    discount: Discount = Discount()
    due_on: date | None = None


class InvoiceTaxChoice(Schema):
    """The new tax profile of a draft: one of the shop's, with all its fields."""

    id: UUID
    tax_profile: TaxProfile


class PutInvoiceLine(BilledLine):
    """A whole line, new or replaced."""

    invoice_id: UUID


class InvoiceIssue(Schema):
    """An invoice as it was shown: its date, which is the tax point, its total and the language it is written in.

    Without a signal the phone shows the draft's mark; the number is given here.
    """

    id: UUID
    issued_on: date
    total_minor: MinorUnits
    language: Language = ENGLISH


class CreditedLine(Schema):
    """A line of a credit note: its own id, and which line of the invoice it takes over.

    `quantity`: how many of its hours or pieces; None: all of it.
    """

    id: UUID
    line_id: UUID
    quantity: Annotated[DecimalText, within(-10_000, 10_000, "billed_quantity_out_of_range")] | None = None


class NewCreditNote(Schema):
    """A draft that credits an invoice: these of its lines; None: all of it. `note` says why."""

    id: UUID
    credited_id: UUID
    mark: Mark = ""
    lines: Annotated[tuple[CreditedLine, ...], Field(min_length=1, max_length=MOST_INVOICE_LINES)] | None = None
    note: OptionalText = ""


class InvoiceParty(Schema):
    """Seller or customer as printed."""

    name: Label
    person: Label = ""
    address: Annotated[Text, Field(max_length=2000)] = ""
    city: Label = ""
    region: Label = ""
    postcode: Label = ""
    country: Label = ""
    phone: Label = ""
    email: Label = ""
    tax_number: Label = ""
    company_number: Label = ""


class PayTo(Schema):
    """Where a transfer goes, and the shop's payment page."""

    iban: Label = ""
    bic: Label = ""
    account_name: Label = ""
    payment_url: Annotated[Text, Field(max_length=400)] = ""


class InvoiceShown(Schema):
    """Names and terms as printed, stored when it is issued so that later changes do not affect them.

    `credited_number` is that of the invoice which a credit note corrects.
    """

    seller: InvoiceParty
    customer: InvoiceParty
    machine: Annotated[Text, Field(max_length=600)] = ""
    job_number: Label = ""
    credited_number: Label = ""
    exempt_reason: Label = ""
    pay_to: PayTo = PayTo()
    words: LongText = ""
    language: Language = ENGLISH


class InvoiceRow(Row):
    """An invoice or a credit note as synced to devices. Amounts of a credit note are positive; see `sign_of`.

    `totals` are None while a line of a draft is incomplete. `digest` is the SHA-256 of the issued document as
    canonical JSON (RFC 8785).
    """

    job_id: UUID | None
    customer_id: UUID
    kind: InvoiceKind
    credited_id: UUID | None
    number: str | None
    mark: str
    state: InvoiceState
    basis: ShopPrices
    discount: Discount
    exempt: bool
    note: str
    issued_on: date | None
    due_on: date | None
    issued_at: AwareDatetime | None
    issued_by_id: UUID | None
    shown: InvoiceShown | None
    totals: QuoteTotals | None
    digest: str | None
    pdf: QuotePdf


class InvoiceLineRow(BilledLine, Row):
    """A line as synced to devices; where costs are hidden, with the price computed from them."""

    invoice_id: UUID
