"""The ticket of a job behind a secret link: the PDF itself, without script, cookie or sign-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapi.accounts.queries import system_actor
from shopapi.core.errors import Unavailable
from shopapi.core.languages import ENGLISH
from shopapi.core.rendering import language, speaking
from shopapi.core.rendering import render as sentence_of
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.rules.ticket_texts import TEXTS
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
        read_in = "" if found.job is None else found.job.customer.language
        if found.document is None:
            return _says(request, 503, "being_made" if found.state == "waiting" else "not_made", read_in=read_in)
        try:
            content = read_document(actor=system_actor(shop_id), document=found.document)
        except Unavailable as gone:
            with speaking(read_in):
                words = sentence_of(gone.reason)
            return _says(request, 503, "not_made", words, read_in=read_in)
    return HttpResponse(
        content,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="ticket.pdf"'},
    )


def _says(request: HttpRequest, status: int, key: str, words: str = "", *, read_in: str = "") -> HttpResponse:
    """A sentence in the customer's language, or in the browser's where nobody knows whose ticket it is."""
    t = next((texts for known, texts in TEXTS.items() if known == (read_in or language.get())), TEXTS[ENGLISH])
    context = {"title": t[key], "words": words or t[f"{key}_next"], "t": t}
    response = render(request, "quotes/customer/says.html", context, status=status)
    if status == 503:
        response["Retry-After"] = "30"
    return response
