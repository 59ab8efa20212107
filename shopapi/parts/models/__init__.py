"""Rows of parts."""

from shopapi.parts.models.arrivals import PartArrival
from shopapi.parts.models.catalog import CatalogPart
from shopapi.parts.models.needs import PartNeed
from shopapi.parts.models.orders import PartOrder, PartOrderLine
from shopapi.parts.models.price_lists import SupplierPrice, SupplierPriceList
from shopapi.parts.models.returns import PartReturn
from shopapi.parts.models.searches import PartSearch
from shopapi.parts.models.stock import StockMove, StockPlace
from shopapi.parts.models.stock_sheets import StockSheet
from shopapi.parts.models.suppliers import Supplier

__all__ = [
    "CatalogPart",
    "PartArrival",
    "PartNeed",
    "PartOrder",
    "PartOrderLine",
    "PartReturn",
    "PartSearch",
    "StockMove",
    "StockPlace",
    "StockSheet",
    "Supplier",
    "SupplierPrice",
    "SupplierPriceList",
]
