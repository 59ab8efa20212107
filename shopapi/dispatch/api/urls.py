from django.urls import path

from shopapi.dispatch.api.views import CalendarAddressView, PrintoutView

urlpatterns = [
    path("printouts/<uuid:row_id>/pdf", PrintoutView.as_view(), name="printouts_pdf"),
    path("calendar-feeds/<uuid:row_id>/address", CalendarAddressView.as_view(), name="calendar_feeds_address"),
]
