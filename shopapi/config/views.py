"""The app's shell, the API's reference page, and the health checks."""

import gzip
from functools import cache
from hashlib import sha256
from hmac import compare_digest

from csp.constants import SELF
from csp.decorators import csp_replace
from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.utils.cache import patch_vary_headers
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import condition, require_http_methods, require_safe
from django.views.defaults import bad_request as django_bad_request
from django.views.defaults import page_not_found
from drf_spectacular.views import SpectacularSwaggerSplitView
from prometheus_client import CONTENT_TYPE_LATEST

from shopapi.config import metrics
from shopapi.config.middleware import permissions_policy
from shopapi.core import background
from shopapi.core.errors import DomainError
from shopapi.core.http.problems import problem

# Below this a database may stop at any moment.
LEAST_FREE_BYTES = 200_000_000


# What the app uses: pictures, voice notes, the position of a site, a lit screen, passkeys, sharing and copying.
APP_MAY_USE = (
    "camera",
    "clipboard-write",
    "geolocation",
    "microphone",
    "publickey-credentials-create",
    "publickey-credentials-get",
    "screen-wake-lock",
    "web-share",
)
SHELL_HEADERS = {"Cache-Control": "no-cache", "Permissions-Policy": permissions_policy(APP_MAY_USE)}


@require_safe
@transaction.non_atomic_requests
@csp_replace({"trusted-types": ["default"]})
def shell(request: HttpRequest) -> HttpResponseBase:
    """The page of the app, the same for every path. Its policy of Trusted Types lets it start its workers."""
    try:
        return HttpResponse(settings.SHELL.read_bytes(), headers=SHELL_HEADERS)
    except FileNotFoundError:
        return HttpResponse(
            "The app is not built yet: run `python3 manage.py up`.", status=503, content_type="text/plain"
        )


@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@transaction.non_atomic_requests
def share(request: HttpRequest) -> HttpResponseBase:
    """The page of the app, at the address that other apps share pictures to.

    The app's service worker takes the POST. Where none runs yet it comes here; nothing of it is read, and the page says
    that it was not kept.
    """
    if request.method != "POST":
        return shell(request)
    return HttpResponse(status=303, headers={"Location": "/share?because=not_saved"})


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: problem details below /api/, Django's page elsewhere."""
    if not request.path.startswith("/api/"):
        return page_not_found(request, exception)
    body = problem(404, DomainError("not_found", message="nothing_here")).data
    return JsonResponse(body, status=404, content_type="application/problem+json")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: a request that Django itself refuses, such as one with thousands of parameters."""
    if not request.path.startswith("/api/"):
        return django_bad_request(request, exception)
    body = problem(400, DomainError("bad_request")).data
    return JsonResponse(body, status=400, content_type="application/problem+json")


@require_safe
@transaction.non_atomic_requests
def livez(request: HttpRequest) -> HttpResponse:
    """Liveness: the process answers."""
    return HttpResponse("alive\n", content_type="text/plain")


@require_safe
@transaction.non_atomic_requests
def readyz(request: HttpRequest) -> HttpResponse:
    """Readiness: the database answers and is migrated, with what else an operator asks first.

    A broker that is down only delays PDFs and mail, and a full disk still lets people read: both are named in
    `degraded`, and the server stays ready.
    """
    said: dict[str, object] = {"ready": False, "version": settings.VERSION}
    try:
        applied = MigrationRecorder(connection).applied_migrations().keys()
        waited = background.overdue() if not _last_migrations() - applied else None
    except DatabaseError:
        return JsonResponse({**said, "database": "away"}, status=503)
    if waited is None:
        return JsonResponse({**said, "database": "not migrated"}, status=503)
    free = metrics.free_bytes()
    degraded = [
        *(["disk full"] if free < LEAST_FREE_BYTES else []),
        *(["broker does not answer"] if not metrics.broker_answers() else []),
        *(["background work is late"] if waited > background.LATE else []),
    ]
    return JsonResponse(
        {
            **said,
            "ready": True,
            "database": "answers",
            "migrations_applied": len(applied),
            "oldest_pending_seconds": int(waited.total_seconds()),
            "free_bytes": free,
            "degraded": degraded,
        }
    )


@require_safe
@transaction.non_atomic_requests
def metrics_page(request: HttpRequest) -> HttpResponse:
    """Figures for Prometheus, for whoever has the token; without a token set there is no such page."""
    given = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not settings.METRICS_TOKEN or not compare_digest(given.encode(), settings.METRICS_TOKEN.encode()):
        return HttpResponse(status=404)
    return HttpResponse(metrics.render_metrics(), content_type=CONTENT_TYPE_LATEST)


@require_safe
@transaction.non_atomic_requests
def workz(request: HttpRequest) -> HttpResponse:
    """Whether background work is being done, for monitoring; a load balancer asks `readyz` instead.

    503 with a plain reason once the oldest of it is late: no worker or no beat runs, or the broker is down.
    """
    try:
        waited = background.overdue()
    except DatabaseError:
        return JsonResponse({"working": False, "reason": "The database does not answer."}, status=503)
    seconds = int(waited.total_seconds())
    if waited > background.LATE:
        reason = f"PDFs, mail or pictures are {seconds} s late: see whether worker, beat and broker run."
        return JsonResponse({"working": False, "late_seconds": seconds, "reason": reason}, status=503)
    return JsonResponse({"working": True})


@cache
def _api_document() -> tuple[bytes, bytes, str]:
    """The OpenAPI document as JSON, the same gzipped, and their common (weak) ETag."""
    plain = settings.API_DOCUMENT.read_bytes()
    return plain, gzip.compress(plain, mtime=0), f'W/"{sha256(plain).hexdigest()[:32]}"'


def _api_document_etag(request: HttpRequest) -> str:
    return _api_document()[2]


@require_safe
@transaction.non_atomic_requests
@condition(etag_func=_api_document_etag)
def openapi(request: HttpRequest) -> HttpResponse:
    """The OpenAPI document, from the file that CI compares with the code."""
    plain, gzipped, _ = _api_document()
    wants_gzip = "gzip" in request.headers.get("Accept-Encoding", "")
    response = HttpResponse(
        gzipped if wants_gzip else plain,
        content_type="application/vnd.oai.openapi+json",
        headers={"Cache-Control": "public, no-cache"},
    )
    if wants_gzip:
        response["Content-Encoding"] = "gzip"
    patch_vary_headers(response, ["Accept-Encoding"])
    return response


@cache
def _last_migrations() -> frozenset[tuple[str, str]]:
    """The last migration of each app in the code."""
    return frozenset(MigrationLoader(None).graph.leaf_nodes())


_swagger = SpectacularSwaggerSplitView.as_view(url_name="openapi", template_name="config/api_docs.html")
# DOMPurify, a part of Swagger UI, makes a policy of its own.
api_docs = transaction.non_atomic_requests(
    csp_replace({"trusted-types": ["default", "dompurify"], "img-src": [SELF, "data:"]})(_swagger)
)
