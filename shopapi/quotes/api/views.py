"""The PDF of a quote, the address of a request, and what was agreed on a job."""

from uuid import UUID

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, NotFound, unpack
from shopapi.core.http.answers import SECRET_HEADERS, json_answer
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.views import ShopView
from shopapi.core.schema import to_json
from shopapi.documents.services.storage import read_document
from shopapi.jobs.queries import jobs
from shopapi.quotes import queries
from shopapi.quotes.queries import approval_requests
from shopapi.quotes.queries.agreed import agreed
from shopapi.quotes.queries.offers import OfferAsked, offer_to_confirm
from shopapi.quotes.rules.approval_requests import LinkAddress
from shopapi.quotes.rules.schemas import AgreedRow, OfferDocument
from shopapi.quotes.services.links import address_of


class AgreedView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="read_agreed",
        summary="What the customer has agreed to on a job, and whether the work is beyond it",
        responses={200: AgreedRow, **PROBLEMS},
        tags=["jobs"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        if not jobs(self.actor).filter(id=row_id).exists():
            raise NotFound("jobs", row_id)
        found = agreed(self.actor, row_id, at=now())
        return Response(
            to_json(
                AgreedRow(
                    job_id=row_id,
                    total_minor=found.total_minor,
                    over_minor=found.over_minor,
                    allowed_minor=found.allowed_minor,
                    beyond_minor=found.beyond_minor,
                )
            )
        )


class OfferDocumentView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="read_offer_document",
        summary="The exact text of an offer, with its digest",
        description=(
            "Of a draft: what would be offered now. Show `document` to the customer, then send `valid_until`, "
            "`total_minor`, `digest` and `shown` to `offer`; it is refused if the quote has changed since. "
            "Of a quote that was offered: what was offered; the parameters are ignored then."
        ),
        parameters=query_parameters(OfferAsked),
        responses={200: OfferDocument, **PROBLEMS},
        tags=["quotes"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        asked = OfferAsked.read(request.query_params)
        quote = queries.quotes(self.actor).filter(id=row_id).first()
        if quote is None:
            raise NotFound("quotes", row_id)
        return json_answer(self.actor, offer_to_confirm(self.actor, quote, asked, at=now()))


class QuotePdfView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("application/pdf",)

    @extend_schema(
        operation_id="read_quote_pdf",
        summary="The PDF of a quote",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["quotes"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        quote = queries.quotes(self.actor).filter(id=row_id).first()
        if quote is None:
            raise NotFound("quotes", row_id)
        if quote.pdf is None:
            reason = unpack(quote.pdf_reason) if quote.pdf_reason else None
            raise Conflict("no_pdf", message="quote_pdf_not_made", reason=reason)
        content = read_document(actor=self.actor, document=quote.pdf)
        name = f"{quote.number}-{quote.revision}.pdf"
        return HttpResponse(
            content,
            content_type="application/pdf",
            headers={
                "Content-Disposition": f'inline; filename="{name}"',
                "Cache-Control": "private, no-store",
            },
        )


class LinkAddressView(ShopView):
    needs = {"GET": Permission.OFFER}

    @extend_schema(
        operation_id="read_link_address",
        summary="The whole address of a request, to be shown as a code or passed on",
        responses={200: LinkAddress, **PROBLEMS},
        tags=["approval links"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        link = approval_requests.links(self.actor).filter(id=row_id).first()
        if link is None:
            raise NotFound("approval links", row_id)
        return Response(to_json(LinkAddress(url=address_of(link))), headers=SECRET_HEADERS)
