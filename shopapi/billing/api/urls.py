from django.urls import path

from shopapi.billing.api import books
from shopapi.billing.api.ageing import ageing
from shopapi.billing.api.comebacks import comebacks, quoted_billed
from shopapi.billing.api.reports import REPORTS
from shopapi.billing.api.views import BillingPrintoutPdfView, InvoicePdfView

urlpatterns = [
    *(url for report in (*REPORTS, ageing, comebacks, quoted_billed) for url in report.urls()),
    path("invoices/<uuid:row_id>/pdf", InvoicePdfView.as_view(), name="invoices_pdf"),
    path("billing-printouts/<uuid:row_id>/pdf", BillingPrintoutPdfView.as_view(), name="billing_printouts_pdf"),
    *books.urlpatterns,
]
