from django.urls import path

from shopapi.customers.api.views import CheckImportView, UploadBookView

urlpatterns = [
    path("customer-imports/upload", UploadBookView.as_view(), name="customer_imports_upload"),
    path("customer-imports/<uuid:row_id>/check", CheckImportView.as_view(), name="customer_imports_check"),
]
