from django.urls import path

from shopapi.dispatch.api.views import CalendarAddressView, PrintoutView

urlpatterns = [
    path("printouts/<uuid:row_id>/pdf", PrintoutView.as_view(), name="printouts_pdf"),
    # Its former address, which is open in pages of older apps until they are loaded again.
    path("printouts/<uuid:row_id>/paper", PrintoutView.as_view(schema=None), name="printouts_paper"),
    path("calendar-feeds/<uuid:row_id>/address", CalendarAddressView.as_view(), name="calendar_feeds_address"),
]
