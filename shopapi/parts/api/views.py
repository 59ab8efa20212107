"""Upload and check of price lists, PDFs of the stock; the rest is derived from `resources`."""

from uuid import UUID

from django.db import transaction
from django.http import HttpResponse
from django.utils.decorators import method_decorator
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.uploads import BYTES, bytes_parser
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters
from shopapi.core.rows import row_for
from shopapi.core.schema import parse, to_json
from shopapi.documents.services.storage import read_document
from shopapi.parts.models import StockSheet, SupplierPriceList
from shopapi.parts.queries.price_lists import show_price_list
from shopapi.parts.rules.price_list_schemas import PriceListCheck, PriceListOptions, SupplierPriceListRow
from shopapi.parts.rules.price_lists import MAX_LIST_BYTES
from shopapi.parts.services import price_lists

TAGS = ["supplier-price-lists"]


class PriceListQuery(Parameters):
    id: UUID
    supplier_id: UUID
    name: str


class UploadPriceListView(ShopView):
    needs = {"POST": Permission.ORDER_PARTS}
    parser_classes = (bytes_parser(MAX_LIST_BYTES),)

    @extend_schema(
        operation_id="upload_price_list",
        summary="Upload a supplier's price list to import, CSV",
        description="`id` is a new UUID, that of the list; sending the same file under it again changes nothing.",
        parameters=query_parameters(PriceListQuery),
        request={BYTES: OpenApiTypes.BINARY},
        responses={201: SupplierPriceListRow, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request) -> Response:
        asked = PriceListQuery.read(request.query_params)
        # An empty body is not parsed.
        content = request.data if isinstance(request.data, bytes) else b""
        found = price_lists.store_price_list(
            actor=self.actor, list_id=asked.id, supplier_id=asked.supplier_id, file_name=asked.name, content=content
        )
        return Response(to_json(show_price_list(self.actor, found)), status=201)


class CheckPriceListView(ShopView):
    needs = {"POST": Permission.ORDER_PARTS}

    @extend_schema(
        operation_id="check_price_list",
        summary="What an import of a price list would add, change and refuse; nothing is written",
        request=PriceListOptions,
        responses={200: PriceListCheck, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request, row_id: UUID) -> Response:
        options = parse(PriceListOptions, request.data)
        found = row_for(SupplierPriceList, self.actor, row_id)
        return Response(to_json(price_lists.check_price_list(actor=self.actor, found=found, options=options)))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class ImportPriceListView(ShopView):
    needs = {"POST": Permission.ORDER_PARTS}

    @extend_schema(
        operation_id="import_price_list",
        summary="Import a price list",
        description="Rows are written in chunks. After an interruption the same again goes on; imported twice is once.",
        request=PriceListOptions,
        responses={200: SupplierPriceListRow, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request, row_id: UUID) -> Response:
        options = parse(PriceListOptions, request.data)
        found = price_lists.import_price_list(actor=self.actor, list_id=row_id, options=options)
        return Response(to_json(show_price_list(self.actor, found)))


class StockSheetView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_stock_sheet_pdf",
        summary="The PDF of a count sheet or of labels",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["stock-sheets"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        sheet = StockSheet.objects.filter(shop=self.actor.shop_id, id=row_id).select_related("document").first()
        if sheet is None:
            raise NotFound("stock-sheets", row_id)
        if sheet.document is None:
            reason = unpack(sheet.reason) if sheet.reason else None
            raise Conflict("no_pdf", message="stock_sheet_not_made", reason=reason)
        return HttpResponse(
            read_document(actor=self.actor, document=sheet.document),
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="stock-{sheet.kind}.pdf"',
                "Cache-Control": "private, no-store",
            },
        )
