"""The resources of billing."""

from shopapi.accounts.rules import Permission
from shopapi.billing.models import BillingPrintout, BillingSettings, Invoice, InvoiceLine, Payment, PeriodClose
from shopapi.billing.queries import invoices as queries
from shopapi.billing.rules.closing import PeriodCloseRow
from shopapi.billing.rules.invoices import INVOICE_TRANSITIONS, InvoiceLineRow, InvoiceRow
from shopapi.billing.rules.payments import PaymentRow
from shopapi.billing.rules.printouts import BillingPrintoutRow
from shopapi.billing.rules.settings import BillingSettingsRow
from shopapi.billing.services import credit_notes, invoice_pdf, invoices, issuing, payments, printouts, sending
from shopapi.billing.services.closing import close_period
from shopapi.billing.services.settings import edit_account_names, edit_billing_settings
from shopapi.core.resources import Resource

RESOURCES: tuple[Resource, ...] = (
    Resource(
        "payment",
        Payment,
        PaymentRow,
        reads=Permission.READ,
        filters=("job_id", "invoice_id", "customer_id", "kind", "method"),
        commands=(payments.record_payment, payments.record_refund, payments.reverse_payment),
        # Those of a reversal are the mistaken entry's.
        computed_fields=("customer_id", "kind", "method", "amount_minor", "member_id", "paid_on"),
        columns=(
            "paid_on",
            "job",
            "invoice",
            "customer",
            "kind",
            "method",
            "amount_minor",
            "tip_minor",
            "member",
            "reverses",
        ),
        column_filters=("kind", "method"),
        search=("reference",),
    ),
    Resource(
        "billing_settings",
        BillingSettings,
        BillingSettingsRow,
        plural="billing-settings",
        reads=Permission.READ,
        commands=(edit_billing_settings, edit_account_names),
        columns=("shop", "payment_days", "invoice_prefix", "credit_prefix", "changed_at"),
    ),
    Resource(
        "invoice",
        Invoice,
        InvoiceRow,
        reads=Permission.READ,
        rows=queries.invoices,
        show=queries.show_invoice,
        filters=("job_id", "customer_id", "state", "kind"),
        commands=(
            invoices.draft_invoice,
            invoices.edit_invoice,
            invoices.choose_invoice_tax,
            invoices.discard_invoice,
            issuing.issue_invoice,
            credit_notes.draft_credit_note,
            credit_notes.issue_credit_note,
            invoice_pdf.remake_invoice_pdf,
            sending.send_invoice,
        ),
        computed_fields=("customer_id", "basis", "exempt", "issued_at", "issued_by_id", "shown", "digest", "pdf"),
        transitions={"state": INVOICE_TRANSITIONS},
        columns=("number", "mark", "kind", "state", "customer", "issued_on", "due_on", "pdf_state"),
        column_filters=("kind", "state", "pdf_state"),
        search=("number", "mark"),
    ),
    Resource(
        "invoice_line",
        InvoiceLine,
        InvoiceLineRow,
        reads=Permission.READ,
        show=queries.show_invoice_line,
        filters=("invoice_id",),
        commands=(invoices.put_invoice_line, invoices.remove_invoice_line),
        columns=("invoice", "position", "kind", "source", "words"),
        column_filters=("source",),
    ),
    Resource(
        "period_close",
        PeriodClose,
        PeriodCloseRow,
        reads=Permission.READ,
        commands=(close_period,),
        computed_fields=("member_id",),
        columns=("closed_through", "note", "member", "created_at"),
    ),
    Resource(
        "billing_printout",
        BillingPrintout,
        BillingPrintoutRow,
        reads=Permission.READ,
        filters=("customer_id", "payment_id", "kind"),
        commands=(printouts.print_receipt, printouts.print_statement, sending.send_billing_printout),
        # Those of a receipt are its entry's.
        computed_fields=("kind", "customer_id"),
        columns=("created_at", "kind", "customer", "state", "reason"),
        reasons=("reason",),
        column_filters=("kind", "state"),
    ),
)
