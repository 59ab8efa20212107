"""Refusals as problem details (RFC 9457): the statuses, the exception handler of Django REST framework."""

import logging
import uuid
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import IntegrityError, OperationalError
from django.http import Http404
from psycopg.errors import DiskFull
from pydantic import ConfigDict
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from shopapi.core.errors import (
    BadParameter,
    Conflict,
    DomainError,
    EditedTwice,
    Forbidden,
    Invalid,
    NotFound,
    Reason,
    TooMany,
    Unavailable,
)
from shopapi.core.rendering import plain_context, render, render_fields
from shopapi.core.rows import id_taken, takes_known_id
from shopapi.core.schema import Schema

log = logging.getLogger("shopapi.http")

PROBLEM_TYPE = "application/problem+json"


STATUS_OF: Mapping[type[DomainError], int] = {
    TooMany: 429,
    BadParameter: 400,
    NotFound: 404,
    Forbidden: 403,
    Conflict: 409,
    Invalid: 422,
    Unavailable: 503,
}


DJANGO_ERRORS: Mapping[type[Exception], tuple[int, DomainError]] = {
    Http404: (404, DomainError("not_found", message="nothing_here")),
    PermissionDenied: (403, DomainError("forbidden", message="role_lacks_this")),
    RequestDataTooBig: (413, DomainError("too_large")),
    RecursionError: (400, DomainError("too_deep")),
}
# Our sentences for codes of Django REST framework; its other errors keep its own text.
FRAMEWORK_MESSAGES: Mapping[str, str] = {
    "not_authenticated": "not_authenticated",
    "permission_denied": "role_lacks_this",
    "not_found": "nothing_here",
    "key_missing": "key_missing",
}
# Values of `context` repeated beside `detail`, for apps built before `context` existed.
BESIDE_DETAIL = ("choice", "entry_id", "expect", "min_build", "offset", "settled_by")


class FieldFault(Schema):
    """One field at fault: `words` is the sentence of `message`, with the values of `context`."""

    field: str
    code: str
    words: str
    message: str = ""
    context: dict[str, int | str] = {}


class ClashingValues(Schema):
    """A field that two changed: its value as it was `seen`, as it is now (`theirs`) and as it was sent (`ours`)."""

    seen: Any
    theirs: Any
    ours: Any


class ProblemDetails(Schema):
    """Problem details (RFC 9457): `code` is stable, `detail` is for people, `fields` names what to correct.

    `detail` is the sentence that the catalogs have under `message`, with the values of `context`. Some refusals have
    further members, so a reader ignores those it does not know (section 3.2).
    """

    model_config = ConfigDict(extra="allow")

    type: str
    title: str
    status: int
    detail: str
    code: str
    fields: list[FieldFault] = []
    trace: str = ""
    message: str = ""
    context: dict[str, int | str] = {}
    clashes: dict[str, ClashingValues] = {}


def problem(status: int, error: DomainError, *, trace: str = "") -> Response:
    """A refusal as `application/problem+json`, its sentences in the language of the answer."""
    context = plain_context(error.reason.context)
    body: dict[str, Any] = {
        "type": f"urn:drawbar:{error.code}",
        "title": error.code.replace("_", " ").capitalize(),
        "status": status,
        "detail": render(error.reason),
        "code": error.code,
        "fields": render_fields(error.fields),
        "trace": trace,
        "message": error.reason.code,
        "context": context,
        **{name: context[name] for name in BESIDE_DETAIL if name in context},
    }
    if isinstance(error, EditedTwice):
        body["clashes"] = {name: asdict(clash) for name, clash in error.clashes.items()}
    return Response(body, status=status, content_type=PROBLEM_TYPE)


def handle_error(error: Exception, context: dict[str, Any]) -> Response:
    """DRF's exception handler: each family of refusal has one status; anything else is a 500 with a trace id."""
    set_rollback()
    if isinstance(error, IntegrityError) and takes_known_id(error):
        error = id_taken()
    if isinstance(error, DomainError):
        status = next(STATUS_OF[family] for family in type(error).__mro__ if family in STATUS_OF)
        response = problem(status, error)
        if status == 503:
            response["Retry-After"] = "5"
        if isinstance(error, TooMany):
            response["Retry-After"] = str(error.seconds)
        return response
    for family, (status, refusal) in DJANGO_ERRORS.items():
        if isinstance(error, family):
            return problem(status, refusal)
    if isinstance(error, exceptions.APIException):
        return _framework_problem(error)
    if isinstance(error, OperationalError) and isinstance(error.__cause__, DiskFull):
        return problem(507, DomainError("disk_full"))
    if isinstance(error, OperationalError):
        response = problem(503, DomainError("database_busy"))
        response["Retry-After"] = "2"
        return response
    trace = uuid.uuid4().hex
    log.error("unexpected error %s", trace, exc_info=error)
    return problem(500, DomainError("internal"), trace=trace)


def _framework_problem(error: exceptions.APIException) -> Response:
    codes = error.get_codes()
    code = codes if isinstance(codes, str) else "invalid"
    reason = Reason(FRAMEWORK_MESSAGES[code]) if code in FRAMEWORK_MESSAGES else Reason(code, text=str(error.detail))
    response = problem(error.status_code, DomainError(code, reason=reason))
    if isinstance(error, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        response["WWW-Authenticate"] = getattr(error, "auth_header", "Session")
    return response
