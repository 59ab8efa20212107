"""The page of an invitation: a plain form without script, where a person sets their own password.

Unlike an owner's page it signs somebody in, so it asks for Django's CSRF cookie: another site must not sign a visitor
in as somebody else. Opening it changes nothing.
"""

from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.shortcuts import render

from shopapi.accounts.api.views import begin_session, remembered
from shopapi.accounts.rules import Acceptance
from shopapi.accounts.services import invitations
from shopapi.accounts.services.invitations import Invited
from shopapi.core.errors import Conflict, DomainError, Invalid, NotFound, Reason, TooMany, Unavailable
from shopapi.core.http.clients import client_ip
from shopapi.core.rendering import render as sentence_of
from shopapi.core.schema import parse

LENGTH = "Take 12 to 128 characters."
DIFFERS = "These two are not the same. Type the password again."


@transaction.non_atomic_requests
def join(request: HttpRequest, secret: str) -> HttpResponse:
    """Show who is invited and take their password; a right one makes them a member and opens the app."""
    if request.method not in ("GET", "HEAD", "POST"):
        return HttpResponseNotAllowed(["GET", "HEAD", "POST"])
    try:
        invited = invitations.find_invitation(secret=secret, network=client_ip(request))
        if invited.status != "open":
            return _says(
                request,
                410,
                "This invitation does not work any more",
                sentence_of(Reason(f"invitation_{invited.status}")),
            )
        if request.method != "POST":
            return _form(request, invited)
        return _accept(request, invited, secret)
    except NotFound:
        return _says(request, 404, "This link leads nowhere", "Check that the whole address was copied.")
    except Conflict as error:
        return _says(request, 409, "This invitation does not work any more", sentence_of(error.reason))
    except TooMany as error:
        response = _says(request, 429, "Please wait a little", sentence_of(error.reason))
        response["Retry-After"] = str(error.seconds)
        return response
    except Unavailable as error:
        return _says(request, 503, "Not just now", sentence_of(error.reason))


def _accept(request: HttpRequest, invited: Invited, secret: str) -> HttpResponse:
    password = request.POST.get("password", "")
    if not invited.signs_in and request.POST.get("again", "") != password:
        return _form(request, invited, fault=DIFFERS, status=422)
    try:
        data = parse(Acceptance, {"password": password, "code": request.POST.get("code", "")[:40]})
        user = invitations.accept_invitation(secret=secret, data=data, network=client_ip(request))
    except Invalid as error:
        return _form(request, invited, fault=_fault(error), status=422)
    begin_session(request, user, "invitation")
    return remembered(HttpResponseRedirect("/", status=303), user)


def _fault(error: DomainError) -> str:
    codes = {fault.code for fault in error.fields}
    return (
        LENGTH
        if codes & {"string_too_short", "string_too_long", "too_short", "too_long"}
        else sentence_of(error.fields[0].reason)
    )


def _form(request: HttpRequest, invited: Invited, *, status: int = 200, **more: Any) -> HttpResponse:
    return render(request, "accounts/join.html", {"invited": invited, **more}, status=status)


def _says(request: HttpRequest, status: int, title: str, words: str) -> HttpResponse:
    return render(request, "accounts/says.html", {"title": title, "words": words}, status=status)
