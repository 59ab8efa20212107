"""What the bookkeeper takes out: registers and journal, and invoices as files of EN 16931."""

from collections.abc import Callable
from datetime import date
from typing import TypeVar
from uuid import UUID

from django.http import HttpResponse
from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from shopapi.accounts.rules import Permission
from shopapi.billing.queries import books
from shopapi.billing.queries.einvoice import einvoice
from shopapi.billing.queries.invoices import invoices
from shopapi.billing.rules import registers
from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.rules.einvoice.ubl import write_ubl
from shopapi.billing.rules.journal import journal_text
from shopapi.billing.services.factur_x import attach_invoice
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters
from shopapi.core.reports import Report
from shopapi.core.schema import Schema
from shopapi.documents.services.storage import read_document

R = TypeVar("R", bound=Schema)


class BooksQuery(Parameters):
    """From one day to another, both included; the current month by default."""

    first: date | None = None
    last: date | None = None


def _of_days(read: Callable[[Actor, books.Days], R]) -> Callable[[Actor, BooksQuery], R]:
    return lambda actor, asked: read(actor, books.days_asked(actor, asked.first, asked.last))


REPORTS = (
    Report(
        "invoice-register",
        "invoice_register",
        "Issued invoices and credit notes of a period, with their tax by rate",
        registers.InvoiceRegister,
        Permission.KEEP_BOOKS,
        _of_days(books.invoice_register),
        asked=BooksQuery,
        table=registers.invoices_table,
    ),
    Report(
        "line-register",
        "line_register",
        "Every line of the documents of a period",
        registers.LineRegister,
        Permission.KEEP_BOOKS,
        _of_days(books.line_register),
        asked=BooksQuery,
        table=registers.lines_table,
    ),
    Report(
        "payment-register",
        "payment_register",
        "Payments, deposits, refunds and tips of a period",
        registers.PaymentRegister,
        Permission.KEEP_BOOKS,
        _of_days(books.payment_register),
        asked=BooksQuery,
        table=registers.payments_table,
    ),
    Report(
        "journal",
        "journal",
        "The double-entry journal of a period",
        registers.Journal,
        Permission.KEEP_BOOKS,
        _of_days(books.journal_of),
        asked=BooksQuery,
        table=registers.journal_table,
    ),
)


class JournalTextView(ShopView):
    needs = {"GET": Permission.KEEP_BOOKS}
    answers = ("text/plain",)

    @extend_schema(
        operation_id="journal_text",
        summary="The journal as plain text, with the check that debits equal credits",
        parameters=query_parameters(BooksQuery),
        responses={(200, "text/plain"): OpenApiTypes.STR, **PROBLEMS},
        tags=["reports"],
    )
    def get(self, request: Request) -> HttpResponse:
        asked = BooksQuery.read(request.query_params)
        found = books.journal_of(self.actor, books.days_asked(self.actor, asked.first, asked.last))
        title = f"Journal from {found.first.isoformat()} to {found.last.isoformat()}"
        text = journal_text(found.entries, title=title, currency=found.currency, digits=found.minor_digits)
        return _file(text.encode(), "text/plain; charset=utf-8", f"journal-{found.first}-{found.last}.txt")


class UblView(ShopView):
    needs = {"GET": Permission.BILL}
    answers = ("application/xml",)

    @extend_schema(
        operation_id="read_invoice_ubl",
        summary="An issued invoice or credit note by EN 16931, as UBL 2.1",
        responses={(200, "application/xml"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["invoices"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        document = einvoice(self.actor, row_id)
        return _file(write_ubl(document), "application/xml", f"{document.number}-ubl.xml")


class CiiView(ShopView):
    needs = {"GET": Permission.BILL}
    answers = ("application/xml",)

    @extend_schema(
        operation_id="read_invoice_cii",
        summary="An issued invoice or credit note by EN 16931, as Cross Industry Invoice (the XML of Factur-X)",
        responses={(200, "application/xml"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["invoices"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        document = einvoice(self.actor, row_id)
        return _file(write_cii(document), "application/xml", f"{document.number}-cii.xml")


class FacturXView(ShopView):
    needs = {"GET": Permission.BILL}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_invoice_factur_x",
        summary="The PDF of an issued invoice or credit note with its XML in it (Factur-X, PDF/A-3)",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["invoices"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        document, invoice = einvoice(self.actor, row_id), invoices(self.actor).get(id=row_id)
        if invoice.pdf is None or invoice.shown is None:
            raise Conflict("einvoice_without_pdf")
        pdf = read_document(actor=self.actor, document=invoice.pdf)
        content = attach_invoice(pdf, document, language=invoice.shown["language"])
        return _file(content, "application/pdf", f"{document.number}-factur-x.pdf")


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type=media_type, headers=headers)


urlpatterns = [
    *(url for report in REPORTS for url in report.urls()),
    path("reports/journal.txt", JournalTextView.as_view(), name="journal_text"),
    path("invoices/<uuid:row_id>/ubl", UblView.as_view(), name="invoices_ubl"),
    path("invoices/<uuid:row_id>/factur-x", FacturXView.as_view(), name="invoices_factur_x"),
    path("invoices/<uuid:row_id>/cii", CiiView.as_view(), name="invoices_cii"),
]
