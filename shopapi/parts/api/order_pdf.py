"""The PDF of an order."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from shopapi.accounts.rules import Permission
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.documents.services.storage import read_document
from shopapi.parts.models import PartOrder


class OrderPdfView(ShopView):
    # It prints what the shop pays.
    needs = {"GET": Permission.ORDER_PARTS}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_part_order_pdf",
        summary="The PDF of an order of parts",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["part-orders"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        order = PartOrder.objects.filter(shop=self.actor.shop_id, id=row_id).select_related("document").first()
        if order is None:
            raise NotFound("part-orders", row_id)
        if order.document is None:
            reason = unpack(order.pdf_reason) if order.pdf_reason else None
            raise Conflict("no_pdf", message="part_order_pdf_not_made", reason=reason)
        return HttpResponse(
            read_document(actor=self.actor, document=order.document),
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="order-{order.number or order.id}.pdf"',
                "Cache-Control": "private, no-store",
            },
        )
