"""The PDFs of invoices, receipts and statements."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from shopapi.accounts.rules import Permission
from shopapi.billing.queries.invoices import invoices
from shopapi.billing.queries.printouts import billing_printouts
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.documents.services.storage import read_document


def _pdf(content: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"', "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


class InvoicePdfView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_invoice_pdf",
        summary="The PDF of an issued invoice or credit note",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["invoices"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        invoice = invoices(self.actor).filter(id=row_id).first()
        if invoice is None:
            raise NotFound("invoices", row_id)
        if invoice.pdf is None:
            reason = unpack(invoice.pdf_reason) if invoice.pdf_reason else None
            raise Conflict("no_pdf", message="invoice_pdf_not_made", reason=reason)
        return _pdf(read_document(actor=self.actor, document=invoice.pdf), str(invoice))


class BillingPrintoutPdfView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_billing_printout_pdf",
        summary="The PDF of a receipt or a statement",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["billing printouts"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        printout = billing_printouts(self.actor).filter(id=row_id).select_related("document").first()
        if printout is None:
            raise NotFound("billing printouts", row_id)
        if printout.document is None:
            reason = unpack(printout.reason) if printout.reason else None
            raise Conflict("no_pdf", message="billing_printout_not_made", reason=reason)
        return _pdf(read_document(actor=self.actor, document=printout.document), printout.kind)
