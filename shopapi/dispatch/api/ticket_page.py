"""The ticket of a job behind a secret link: the PDF itself, without script, cookie or sign-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapi.accounts.queries import system_actor
from shopapi.core.errors import Unavailable
from shopapi.core.rendering import render as sentence_of
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.messages import TICKET_PAGE
from shopapi.dispatch.services.ticket_links import read_token, ticket_by
from shopapi.documents.services.storage import read_document


@require_safe
def ticket(request: HttpRequest, token: str) -> HttpResponse:
    """The PDF of a ticket; a sentence where there is none, or none yet."""
    named = read_token(token)
    if named is None:
        return _says(request, 404, "unknown")
    shop_id, printout_id = named
    with in_shop(shop_id):
        found = ticket_by(shop_id, printout_id)
        if found is None:
            return _says(request, 410, "ended")
        if found.document is None:
            return _says(request, 503, "being_made" if found.state == "waiting" else "not_made")
        try:
            content = read_document(actor=system_actor(shop_id), document=found.document)
        except Unavailable as gone:
            return _says(request, 503, "not_made", sentence_of(gone.reason))
    return HttpResponse(
        content,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="ticket.pdf"'},
    )


def _says(request: HttpRequest, status: int, key: str, words: str = "") -> HttpResponse:
    context = {"title": TICKET_PAGE[f"{key}.title"], "words": words or TICKET_PAGE[key]}
    response = render(request, "quotes/customer/says.html", context, status=status)
    if status == 503:
        response["Retry-After"] = "30"
    return response
