"""What a shop sets for its invoices and payments, one row per shop with the shop's id.

What may be charged is in the price book; this is how it is billed and paid.
"""

from typing import Annotated, Any, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from shopapi.accounts.rules import Permission
from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, LongText, OneLine, OptionalText, Row, Schema, SeenWith, Text
from shopapi.customers.rules.countries import Country

LaborBilling = TypeAliasType("LaborBilling", Literal["as_quoted", "by_time"])
"""as_quoted: labor is billed as it was agreed. by_time: the clocked hours, up to the hours agreed."""

PLAIN_PREFIX = r"^[A-Z][A-Z0-9]{0,7}$"
MOST_REMINDERS = 6

Prefix = Annotated[str, Field(pattern=PLAIN_PREFIX)]
PaymentDays = Annotated[int, Field(ge=0, le=365)]
ReminderDays = Annotated[tuple[Annotated[int, Field(ge=1, le=365)], ...], Field(max_length=MOST_REMINDERS)]
WarrantyDays = Annotated[int, Field(ge=0, le=3650)]
WarrantyHours = Annotated[DecimalText, Field(ge=0, le=10_000)]
HourCost = Annotated[Annotated[int, Field(ge=0, le=10**9)] | None, SeenWith(Permission.SEE_COST, instead=None)]
Account = Annotated[Text, Field(max_length=40)]
Address = Annotated[Text, Field(max_length=300)]


class Accounts(Schema):
    """The shop's accounts, by what is entered on them, as its bookkeeper calls them; empty: the name used here."""

    receivable: Account = ""
    labor: Account = ""
    parts: Account = ""
    travel: Account = ""
    fees: Account = ""
    supplies: Account = ""
    discounts: Account = ""
    tax: Account = ""
    cash: Account = ""
    checks: Account = ""
    cards: Account = ""
    bank: Account = ""
    deposits: Account = ""
    tips: Account = ""
    other: Account = ""


class AccountNames(Schema):
    """What the bookkeeper calls the accounts: the part of the settings that whoever keeps the books may edit."""

    accounts: Accounts = Accounts()


class BillingSettingsFields(AccountNames):
    """The editable settings.

    payment_days     days from the invoice date to the day it is due
    labor            how labor of accepted lines is billed
    tolerance_minor  how far an invoice may exceed what was agreed, before tax; the price book's percentage is the
                     other bound, and the larger one counts
    ..._prefix       what the numbers of invoices and of credit notes begin with: "INV" gives INV-1001
    invoice_words    printed on every invoice; `receipt_words` on every receipt
    legal_name, ...  the seller as printed; an empty name is the shop's, an empty street the shop's address
    country          two capitals by ISO 3166-1, or empty
    iban, bic, account_name   where a transfer goes
    payment_url      the address of the shop's payment page, with {number}, {amount} and {currency} where it takes them
    reminder_days    days after the due day on which a reminder of payment goes out
    warranty_...     what a line of labor or parts begins with; None: no warranty is stated
    hour_cost_minor  what an hour of work costs the shop, pay with all that comes on top of it; None: not entered
    """

    payment_days: PaymentDays = 14
    labor: LaborBilling = "as_quoted"
    tolerance_minor: Annotated[int, Field(ge=0, le=10**9)] = 0
    invoice_prefix: Prefix = "INV"
    credit_prefix: Prefix = "CN"
    invoice_words: LongText = ""
    receipt_words: OptionalText = ""
    legal_name: Label = ""
    street: Address = ""
    city: Label = ""
    region: Label = ""
    postcode: Annotated[Text, Field(max_length=20)] = ""
    country: Country = ""
    tax_number: Annotated[Text, Field(max_length=40)] = ""
    company_number: Annotated[Text, Field(max_length=40)] = ""
    iban: Annotated[Text, Field(max_length=42)] = ""
    bic: Annotated[Text, Field(max_length=11)] = ""
    account_name: Annotated[Text, Field(max_length=70)] = ""
    payment_url: OneLine = ""
    reminder_days: ReminderDays = ()
    warranty_days: WarrantyDays | None = None
    warranty_hours: WarrantyHours | None = None
    hour_cost_minor: HourCost = None


PAID_TO = ("iban", "bic", "account_name", "payment_url")
"""The settings that say where customers pay to."""


class BillingSettingsRow(BillingSettingsFields, Row):
    """The settings as devices see them. Their id is the shop's."""


def settings_faults(data: BillingSettingsFields) -> list[FieldError]:
    """The faults across fields; empty: none."""
    found = []
    if data.invoice_prefix == data.credit_prefix:
        found.append(FieldError("credit_prefix", "prefix_of_both"))
    if list(data.reminder_days) != sorted(set(data.reminder_days)):
        found.append(FieldError("reminder_days", "reminders_not_ascending"))
    return found


def no_accounts() -> dict[str, Any]:
    """The JSON of accounts that nobody has named."""
    return Accounts().model_dump(mode="json")
