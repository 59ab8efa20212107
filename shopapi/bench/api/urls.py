from django.urls import path

from shopapi.bench.api.views import LabelSheetView

urlpatterns = [path("label-sheets/<uuid:row_id>/pdf", LabelSheetView.as_view(), name="label_sheets_pdf")]
