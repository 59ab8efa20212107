"""The wire schemas of receipts and statements as PDF, and of writing bills to customers."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.core.schema import Label, Row, Schema

BillingPrintoutKind = TypeAliasType("BillingPrintoutKind", Literal["receipt", "statement"])
BillingPrintoutState = TypeAliasType("BillingPrintoutState", Literal["waiting", "ready", "failed"])
BillChannel = TypeAliasType("BillChannel", Literal["email", "sms"])

MOST_STATEMENT_DAYS = 3660


class ReceiptPrint(Schema):
    """Request the receipt of an entry of money; `id` is the printout's."""

    id: UUID
    payment_id: UUID


class StatementPrint(Schema):
    """Request the statement of a customer, from one day through another; `id` is the printout's."""

    id: UUID
    customer_id: UUID
    first_on: date
    through: date


class BillSend(Schema):
    """Write the link of a paper to a customer, by e-mail or text message. `id`: the invoice or the printout."""

    id: UUID
    channel: BillChannel
    address: Annotated[Label, Field(min_length=1, max_length=254)]
    name: Label = ""


class BillingPrintoutRow(Row):
    """A receipt or a statement: waiting, ready (then it can be read), or failed with a reason."""

    kind: BillingPrintoutKind
    customer_id: UUID
    payment_id: UUID | None
    first_on: date | None
    through: date | None
    state: BillingPrintoutState
    reason: str
