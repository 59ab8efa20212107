"""The PDFs of the bench."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from shopapi.accounts.rules import Permission
from shopapi.bench.models import LabelSheet
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.documents.services.storage import read_document


class LabelSheetView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_label_sheet_pdf",
        summary="The PDF of a sheet of labels",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["label-sheets"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        sheet = LabelSheet.objects.filter(shop=self.actor.shop_id, id=row_id).select_related("document").first()
        if sheet is None:
            raise NotFound("label-sheets", row_id)
        if sheet.document is None:
            reason = unpack(sheet.reason) if sheet.reason else None
            raise Conflict("no_pdf", message="labels_not_made", reason=reason)
        return HttpResponse(
            read_document(actor=self.actor, document=sheet.document),
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="labels-{sheet.kind}.pdf"',
                "Cache-Control": "private, no-store",
            },
        )
