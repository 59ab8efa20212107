from django.urls import path

from shopapi.parts.api.order_pdf import OrderPdfView
from shopapi.parts.api.reports import stock
from shopapi.parts.api.views import CheckPriceListView, ImportPriceListView, StockSheetView, UploadPriceListView

urlpatterns = [
    *stock.urls(),
    path("part-orders/<uuid:row_id>/pdf", OrderPdfView.as_view(), name="part_orders_pdf"),
    path("stock-sheets/<uuid:row_id>/pdf", StockSheetView.as_view(), name="stock_sheets_pdf"),
    path("supplier-price-lists/upload", UploadPriceListView.as_view(), name="supplier_price_lists_upload"),
    path("supplier-price-lists/<uuid:row_id>/check", CheckPriceListView.as_view(), name="supplier_price_lists_check"),
    path(
        "supplier-price-lists/<uuid:row_id>/import", ImportPriceListView.as_view(), name="supplier_price_lists_import"
    ),
]
