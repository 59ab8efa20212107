"""The app's shell, the API's page for people, and the questions that whoever runs the site asks."""

from functools import cache

from csp.decorators import csp_update
from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe
from django.views.defaults import page_not_found
from drf_spectacular.views import SpectacularSwaggerSplitView

from shopapi.core import background
from shopapi.core.http import problem


@require_safe
@transaction.non_atomic_requests
def shell(request: HttpRequest) -> HttpResponse:
    """The installed app starts from this page, whatever its path."""
    try:
        return HttpResponse(settings.SHELL.read_bytes(), headers={"Cache-Control": "no-cache"})
    except FileNotFoundError:
        return HttpResponse(
            "The app is not built yet: run `python3 manage.py up`.", status=503, content_type="text/plain"
        )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """No such path: in the words of the API below /api/, in Django's elsewhere."""
    if not request.path.startswith("/api/"):
        return page_not_found(request, exception)
    body = problem(404, "not_found", "Nothing is here.").data
    return JsonResponse(body, status=404, content_type="application/problem+json")


@require_safe
@transaction.non_atomic_requests
def livez(request: HttpRequest) -> HttpResponse:
    """Touches nothing: the process answers."""
    return HttpResponse("alive\n", content_type="text/plain")


@require_safe
@transaction.non_atomic_requests
def readyz(request: HttpRequest) -> HttpResponse:
    """Ready when the database answers and is migrated; a broker that is down only delays paper and mail."""
    try:
        behind = _last_migrations() - MigrationRecorder(connection).applied_migrations().keys()
    except DatabaseError:
        return JsonResponse({"ready": False, "database": "away"}, status=503)
    if behind:
        return JsonResponse({"ready": False, "database": "not migrated"}, status=503)
    return JsonResponse({"ready": True, "database": "answers"})


@require_safe
@transaction.non_atomic_requests
def workz(request: HttpRequest) -> HttpResponse:
    """Whether promised work is being done, for whoever watches the site; a load balancer asks `readyz` instead.

    503 with a plain reason once the oldest of it is late: no worker or no beat runs, or the broker is down.
    """
    try:
        waited = background.overdue()
    except DatabaseError:
        return JsonResponse({"working": False, "reason": "The database does not answer."}, status=503)
    seconds = int(waited.total_seconds())
    if waited > background.LATE:
        reason = f"Paper, mail or pictures are {seconds} s late: see whether worker, beat and broker run."
        return JsonResponse({"working": False, "late_seconds": seconds, "reason": reason}, status=503)
    return JsonResponse({"working": True})


@cache
def _last_migrations() -> frozenset[tuple[str, str]]:
    """The last migration of each app, as it lies beside the code."""
    return frozenset(MigrationLoader(None).graph.leaf_nodes())


_swagger = SpectacularSwaggerSplitView.as_view(url_name="openapi")
# The reference page's own style sheet is set from script.
api_docs = transaction.non_atomic_requests(
    csp_update({"style-src": ["'unsafe-inline'"], "img-src": ["data:"]})(_swagger)
)
