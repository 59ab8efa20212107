"""An invoice, receipt or statement behind a secret link: the PDF itself, without script, cookie or sign-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapi.accounts.queries import system_actor
from shopapi.billing.rules.texts import TEXTS
from shopapi.billing.services.bill_links import paper_by
from shopapi.core.errors import Unavailable
from shopapi.core.languages import ENGLISH
from shopapi.core.rendering import language
from shopapi.core.tenancy import in_shop
from shopapi.documents.services.storage import read_document


@require_safe
def bill(request: HttpRequest, token: str) -> HttpResponse:
    """The PDF of a link; a sentence where there is none, or none yet."""
    found = paper_by(token)
    if found is None:
        return _says(request, 404, "bill_unknown", language.get())
    if found.document is None:
        key = "bill_waiting" if found.state == "waiting" else "bill_failed"
        return _says(request, 503, key, found.language)
    try:
        with in_shop(found.shop_id):
            content = read_document(actor=system_actor(found.shop_id), document=found.document)
    except Unavailable:
        return _says(request, 503, "bill_failed", found.language)
    headers = {"Content-Disposition": 'inline; filename="bill.pdf"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


def _says(request: HttpRequest, status: int, key: str, read_in: str) -> HttpResponse:
    t = next((texts for known, texts in TEXTS.items() if known == read_in), TEXTS[ENGLISH])
    context = {"title": t[key], "words": t[f"{key}_next"], "t": t}
    response = render(request, "quotes/customer/says.html", context, status=status)
    if status == 503:
        response["Retry-After"] = "30"
    return response
