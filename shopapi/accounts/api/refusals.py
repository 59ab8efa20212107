"""The middleware that records refused permissions in the audit trail."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from shopapi.accounts.services.security_events import record_refused_permission
from shopapi.core.actor import Actor

# A question for the password, and a page without its token: nobody's permission is at stake.
NO_REFUSALS = frozenset({"proof_needed", "csrf_failed"})


def note_refusals(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Record a refusal after its answer: the transaction of the request was rolled back with it."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        # Django REST framework puts the actor here.
        actor, match = getattr(request, "auth", None), request.resolver_match
        if response.status_code == 403 and isinstance(actor, Actor) and match is not None:
            code = str(getattr(response, "data", {}).get("code", ""))
            if code not in NO_REFUSALS:
                # The route has names where the address has ids.
                record_refused_permission(actor, code, of=f"{request.method} {match.route}")
        return response

    return middleware
