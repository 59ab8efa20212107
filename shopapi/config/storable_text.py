"""Refuses characters that the database cannot store, before any view runs.

PostgreSQL's text holds no NUL, so a comparison with one fails there. Bodies are checked by their schemas; this is for
addresses. (A lone surrogate cannot come in one: what is not UTF-8 arrives as U+FFFD.)
"""

from collections.abc import Callable

from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse

from shopapi.core.errors import DomainError, FieldError
from shopapi.core.http.problems import PROBLEM_TYPE, problem
from shopapi.core.schema import UNSTORABLE


def refuse_unstorable(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Answer 404 for such a character in the path, 400 for one in the query."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if UNSTORABLE.search(request.path):
            raise Http404
        faults = tuple(
            FieldError(UNSTORABLE.sub("?", name), "unstorable_text")
            for name, values in request.GET.lists()
            if UNSTORABLE.search(name) or any(map(UNSTORABLE.search, values))
        )
        if not faults:
            return get_response(request)
        if not request.path.startswith("/api/"):
            raise BadRequest
        body = problem(400, DomainError("invalid", message="parameters_invalid", fields=faults)).data
        return JsonResponse(body, status=400, content_type=PROBLEM_TYPE)

    return middleware
