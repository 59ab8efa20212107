"""The customer's page behind a secret link: plain forms that need no script, no cookie and no sign-in.

The secret in the path is the whole credential. No cookie is set or read, so cross-site request forgery is not
possible, and no CSRF cookie is needed, which old phones and browsers inside other apps lose.
GET requests decide nothing: an answer is one POST of the last form.
"""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from shopapi.core.errors import Conflict, DomainError, Invalid, NotFound, TooMany, Unavailable
from shopapi.core.http.clients import client_ip
from shopapi.core.languages import ENGLISH, Texts
from shopapi.core.rendering import language, speaking
from shopapi.core.rendering import render as sentence_of
from shopapi.core.schema import parse
from shopapi.quotes.rules.approval_requests import Answer, Question
from shopapi.quotes.rules.texts import TEXTS
from shopapi.quotes.services import approval_requests, customer_page
from shopapi.quotes.services.approval_requests import LinkVisit
from shopapi.quotes.services.customer_page import PageContents

Page = Callable[..., HttpResponse]
METHODS = ("GET", "HEAD", "POST")


def behind_link(page: Page) -> Page:
    """Pass the link of the secret in the path to a view; show an error page when there is none."""

    def view(request: HttpRequest, token: str, **more: Any) -> HttpResponse:
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        try:
            user_agent = request.headers.get("User-Agent", "")
            visit = approval_requests.find_link(token=token, network=client_ip(request), user_agent=user_agent)
            if request.method == "POST":
                approval_requests.count_sent(visit)
            return page(request, visit, token=token, **more)
        except NotFound:
            t = _browser_texts()
            return _says(request, 404, t["nowhere"], t["nowhere_next"], t)
        except TooMany as error:
            response = _says(request, 429, _browser_texts()["wait"], sentence_of(error.reason), _browser_texts())
            response["Retry-After"] = str(error.seconds)
            return response
        except Unavailable as error:
            return _says(request, 503, _browser_texts()["not_now"], sentence_of(error.reason), _browser_texts())

    return csrf_exempt(transaction.non_atomic_requests(view))


def _browser_texts() -> Texts:
    """The texts where no offer says in which language: by the browser's wish."""
    return next((texts for key, texts in TEXTS.items() if key == language.get()), TEXTS[ENGLISH])


def _says(request: HttpRequest, status: int, title: str, words: str, t: Texts) -> HttpResponse:
    context = {"title": title, "words": words, "t": t}
    return render(request, "quotes/customer/says.html", context, status=status)


def _show(
    request: HttpRequest, template: str, asked: PageContents, token: str, *, status: int = 200, **more: Any
) -> HttpResponse:
    """A page of a request, in the language of its offer."""
    context = {"asked": asked, "token": token, "t": asked.t, **more}
    return render(request, f"quotes/customer/{template}.html", context, status=status)


@behind_link
def ask(request: HttpRequest, visit: LinkVisit, *, token: str) -> HttpResponse:
    """The page of a request: read it, choose line by line, review, send the answer."""
    if request.method != "POST":
        asked = customer_page.page_contents(visit=visit)
        if asked.status == "open" and request.method == "GET":
            approval_requests.record_opening(visit)
        return _page(request, asked, token)
    yes, no = _chosen(request)
    step = request.POST.get("step", "")
    if step == "decide":
        return _decide(request, visit, token, yes, no)
    asked = customer_page.page_contents(visit=visit, yes=yes, no=no)
    if step == "check" and asked.status == "open":
        if asked.unanswered:
            return _page(request, asked, token, missing=asked.unanswered, status=422)
        return _check(request, asked, token)
    return _page(request, asked, token)


def _decide(request: HttpRequest, visit: LinkVisit, token: str, yes: list[UUID], no: list[UUID]) -> HttpResponse:
    try:
        name = request.POST.get("name", "").strip()
        fields = {"yes": list(map(str, yes)), "no": list(map(str, no)), "name": name}
        approval_requests.decide_by_link(visit=visit, answer=parse(Answer, fields))
    except Invalid as error:
        asked = customer_page.page_contents(visit=visit, yes=yes, no=no)
        if asked.unanswered:
            return _page(request, asked, token, missing=asked.unanswered, status=422)
        return _check(request, asked, token, fault=_fault(error, asked.t), status=422)
    except Conflict:
        # Answered by somebody else or changed by the shop meanwhile; the page says which.
        return _page(request, customer_page.page_contents(visit=visit), token, status=409)
    return _see(f"/ask/{token}")


def _chosen(request: HttpRequest) -> tuple[list[UUID], list[UUID]]:
    """The ids of the lines answered yes and of those answered no. The form is untrusted."""
    found: dict[str, list[UUID]] = {"yes": [], "no": []}
    for key, value in request.POST.items():
        if key.startswith("line-") and value in found:
            try:
                found[value].append(UUID(key.removeprefix("line-")))
            except ValueError:
                continue
    return found["yes"], found["no"]


def _page(request: HttpRequest, asked: PageContents, token: str, *, status: int = 200, **more: Any) -> HttpResponse:
    template = {"open": "ask", "answered": "done", "decided": "done"}.get(asked.status, "gone")
    if template == "gone" and status == 200:
        status = 410
    return _show(request, template, asked, token, status=status, **more)


def _check(
    request: HttpRequest, asked: PageContents, token: str, *, fault: str = "", status: int = 200
) -> HttpResponse:
    name = request.POST.get("name", "")[:200]
    return _show(request, "check", asked, token, status=status, fault=fault, name=name)


def _fault(error: DomainError, t: Texts) -> str:
    about = {fault.field: fault.code for fault in error.fields}
    if about.get("name") in {"too_long", "string_too_long"}:
        return t["name_long"]
    if "name" in about:
        return t["name_missing"]
    with speaking(t.language):
        return sentence_of(error.reason)


@behind_link
def question(request: HttpRequest, visit: LinkVisit, *, token: str) -> HttpResponse:
    """The form for a question to the shop."""
    asked = customer_page.page_contents(visit=visit)
    if asked.status != "open":
        return _page(request, asked, token)
    words, name = request.POST.get("words", ""), request.POST.get("name", "")
    if request.method != "POST":
        return _show(request, "question", asked, token, words=words, name=name, fault="")
    try:
        approval_requests.post_question(visit=visit, question=parse(Question, {"words": words.strip(), "name": name}))
    except Invalid:
        fault = asked.t["question_long" if words.strip() else "question_empty"]
        return _show(request, "question", asked, token, status=422, words=words, name=name, fault=fault)
    except Conflict:
        return _page(request, customer_page.page_contents(visit=visit), token, status=409)
    return _see(f"/ask/{token}/asked")


@behind_link
def was_asked(request: HttpRequest, visit: LinkVisit, *, token: str) -> HttpResponse:
    """The confirmation that a question was sent."""
    return _show(request, "asked", customer_page.page_contents(visit=visit), token)


@behind_link
def picture(request: HttpRequest, visit: LinkVisit, *, token: str, picture_id: UUID, size: str) -> HttpResponse:
    """A picture of a finding that the request is about; 404 for any other."""
    try:
        content = customer_page.picture_for(visit=visit, picture_id=picture_id, small=size == "small")
    except Conflict:
        content = None
    if content is None:
        raise NotFound("picture", picture_id)
    return HttpResponse(content, content_type="image/jpeg")


@behind_link
def pdf(request: HttpRequest, visit: LinkVisit, *, token: str) -> HttpResponse:
    """The quote as a PDF."""
    found = customer_page.pdf_for(visit=visit)
    if found is None:
        t = customer_page.page_contents(visit=visit).t
        return _says(request, 404, t["pdf_missing"], t["pdf_missing_next"], t)
    name, content = found
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


def _see(path: str) -> HttpResponse:
    """Redirect after a POST, so that reloading the page sends nothing twice."""
    return HttpResponseRedirect(path, status=303)
