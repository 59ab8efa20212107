from django.urls import path

from shopapi.quotes.api.reports import outcomes, quoted, to_order
from shopapi.quotes.api.views import AgreedView, LinkAddressView, OfferDocumentView, QuotePdfView

urlpatterns = [
    *quoted.urls(),
    *outcomes.urls(),
    *to_order.urls(),
    path("quotes/<uuid:row_id>/pdf", QuotePdfView.as_view(), name="quotes_pdf"),
    path("quotes/<uuid:row_id>/offer-document", OfferDocumentView.as_view(), name="quotes_offer_document"),
    # Its former address, which is open in pages of older apps until they are loaded again.
    path("quotes/<uuid:row_id>/paper", QuotePdfView.as_view(schema=None), name="quotes_paper"),
    path("jobs/<uuid:row_id>/agreed", AgreedView.as_view(), name="jobs_agreed"),
    path("approval-links/<uuid:row_id>/address", LinkAddressView.as_view(), name="approval_links_address"),
]
