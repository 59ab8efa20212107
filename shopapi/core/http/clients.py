"""Where a request came from."""

from django.conf import settings
from django.http import HttpRequest
from rest_framework.request import Request


def client_ip(request: HttpRequest | Request) -> str:
    """The IP address of the client: the connection's, or the one that the outermost of our own proxies saw.

    Earlier X-Forwarded-For entries are ignored: clients can forge them.
    """
    hops = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if 0 < settings.PROXIES <= len(hops):
        return str(hops[-settings.PROXIES])
    return str(request.META["REMOTE_ADDR"])
