"""The paper of a quote."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from shopapi.accounts.rules import Permission
from shopapi.core.errors import Conflict, NotFound
from shopapi.core.http import PROBLEMS, ShopView
from shopapi.documents.services.shelf import read_document
from shopapi.quotes import queries


class PaperView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="read_paper",
        summary="The PDF of a quote",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["quotes"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        quote = queries.quotes(self.actor).filter(id=row_id).first()
        if quote is None:
            raise NotFound("quotes", row_id)
        if quote.paper is None:
            raise Conflict("no_paper", quote.paper_reason or "The paper of this quote is not made yet.")
        content = read_document(actor=self.actor, document=quote.paper)
        name = f"{quote.number}-{quote.revision}.pdf"
        return HttpResponse(
            content,
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="{name}"',
                "Cache-Control": "private, no-store",
            },
        )
