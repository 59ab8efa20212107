"""Invoices, credit notes and their lines."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceState, LineSource
from shopapi.core.enums import choices_of
from shopapi.customers.models import Customer
from shopapi.documents.models import Document
from shopapi.jobs.models import Job
from shopapi.quotes.models import LineFigures, no_discount
from shopapi.quotes.rules.schemas import PdfState


class Invoice(ShopOwned):
    """An invoice or a credit note. Once issued, neither it nor its lines change: the database refuses that.

    Only its state (cancelled), the mark of an earlier number and its PDF are written afterwards. The number is
    assigned when it is issued. Amounts of a credit note are positive. `paid_before_minor`: what was paid of an invoice
    when it was issued, in minor units; null on a draft, a credit note and what was issued before it was kept.
    """

    job = ShopForeignKey(Job, related_name="invoices", null=True)
    customer = ShopForeignKey(Customer, related_name="invoices")
    kind = models.CharField(max_length=11, default=InvoiceKind.INVOICE, choices=choices_of(InvoiceKind))
    credited = ShopForeignKey("self", related_name="credit_notes", null=True)
    number = models.CharField(max_length=20, null=True)
    mark = models.CharField(max_length=20, default="", blank=True)
    state = models.CharField(max_length=9, default=InvoiceState.DRAFT, choices=choices_of(InvoiceState))
    basis = models.JSONField()
    discount = models.JSONField(default=no_discount)
    exempt = models.BooleanField(default=False)
    note = models.TextField(default="", blank=True)
    issued_on = models.DateField(null=True)
    due_on = models.DateField(null=True)
    issued_at = models.DateTimeField(null=True)
    issued_by = ShopForeignKey(Member, related_name="+", null=True)
    shown = models.JSONField(null=True)
    totals = models.JSONField(null=True)
    paid_before_minor = models.BigIntegerField(null=True)
    digest = models.CharField(max_length=64, null=True)
    pdf_state = models.CharField(max_length=7, default="none", choices=choices_of(PdfState))
    pdf_reason = models.TextField(null=True)
    pdf = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "number"], name="one_invoice_per_number"),
            models.CheckConstraint(
                name="issued_invoice_has_number_date_and_totals",
                condition=models.Q(state="draft", number__isnull=True)
                | models.Q(
                    state__in=["issued", "cancelled"],
                    number__isnull=False,
                    issued_on__isnull=False,
                    issued_at__isnull=False,
                    shown__isnull=False,
                    totals__isnull=False,
                    digest__isnull=False,
                ),
            ),
            models.CheckConstraint(
                name="credit_note_names_its_invoice",
                condition=models.Q(kind="invoice", credited__isnull=True)
                | models.Q(kind="credit_note", credited__isnull=False),
            ),
        )
        indexes = (
            # What a job was billed.
            models.Index(fields=["shop", "job"], name="invoice_by_job"),
            # What a customer was billed, in the order of the days.
            models.Index(fields=["shop", "customer", "issued_on"], name="invoice_by_customer"),
            # The register of a period.
            models.Index(fields=["shop", "issued_on"], name="invoice_by_day"),
        )

    def __str__(self) -> str:
        return self.number or self.mark


class InvoiceLine(LineFigures):
    """One line of an invoice. `quote_line_id`, `need_id` and `stop_id` name rows of other apps, without a key."""

    invoice = ShopForeignKey(Invoice, related_name="lines")
    source = models.CharField(max_length=8, default=LineSource.OTHER, choices=choices_of(LineSource))
    quote_line_id = models.UUIDField(null=True)
    need_id = models.UUIDField(null=True)
    stop_id = models.UUIDField(null=True)
    warranty_days = models.PositiveSmallIntegerField(null=True)
    warranty_hours = models.DecimalField(max_digits=11, decimal_places=6, null=True)

    class Meta:
        indexes = (
            # The lines of one invoice, in their order.
            models.Index(fields=["shop", "invoice", "position"], name="invoice_line_by_invoice"),
            # Whether a line of a quote was billed.
            models.Index(fields=["shop", "quote_line_id"], name="invoice_line_by_quote_line"),
        )
