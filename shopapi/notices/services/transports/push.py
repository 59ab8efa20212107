"""Web Push: RFC 8030 to the browser's own push service, encrypted for the browser (RFC 8291), signed (RFC 8292)."""

import json
from typing import Any

import requests
from django.conf import settings
from py_vapid import Vapid02
from pywebpush import WebPushException, webpush

from shopapi.core.errors import Invalid, Reason
from shopapi.notices.rules.address import check_endpoint
from shopapi.notices.rules.notice import DeliveryResult, DeliveryStatus
from shopapi.notices.services.transports import OutboundMessage, PushEndpoint
from shopapi.notices.services.transports.sms import delivery_result, not_answered

# Seconds (one day) for which the push service keeps a message that it cannot deliver.
TTL_SECONDS = 24 * 60 * 60
SECONDS = 10
NO_MORE = {404, 410}


class NoRedirects(requests.Session):
    """A session that follows no redirects, so that only the given host is contacted."""

    def request(self, *args: Any, **options: Any) -> requests.Response:
        return super().request(*args, **{**options, "allow_redirects": False})


def deliver(outbound: OutboundMessage) -> DeliveryResult:
    """Send a message to every device of a member; it counts as sent when one device accepted it."""
    if not outbound.endpoints:
        return DeliveryResult(DeliveryStatus.REFUSED, Reason("push_no_device"))
    outcomes = [_to_one(place, _payload(outbound)) for place in outbound.endpoints]
    gone = tuple(one for outcome in outcomes for one in outcome.gone)
    # Sent if any device accepted it; if any result is unknown, it is not tried again automatically.
    for status in (DeliveryStatus.SENT, DeliveryStatus.UNKNOWN, DeliveryStatus.LATER, DeliveryStatus.REFUSED):
        found = next((outcome for outcome in outcomes if outcome.status == status), None)
        if found is not None:
            return DeliveryResult(status, found.reason, gone)
    raise AssertionError


def _payload(outbound: OutboundMessage) -> str:
    kind, row_id = outbound.about
    payload = {"title": outbound.subject, "body": outbound.body, "tag": str(outbound.notice_id)}
    return json.dumps({**payload, "about_kind": kind, "about_id": str(row_id)}, ensure_ascii=False)


def _to_one(place: PushEndpoint, payload: str) -> DeliveryResult:
    try:
        check_endpoint(place.endpoint, settings.PUSH_HOSTS, loopback=settings.PUSH_LOOPBACK)
        with NoRedirects() as session:
            answer = webpush(
                {"endpoint": place.endpoint, "keys": {"p256dh": place.p256dh, "auth": place.auth}},
                data=payload,
                vapid_private_key=Vapid02.from_string(settings.VAPID["private"]),
                vapid_claims={"sub": settings.VAPID["subject"]},
                ttl=TTL_SECONDS,
                timeout=SECONDS,
                requests_session=session,
            )
    except Invalid as refusal:
        return DeliveryResult(DeliveryStatus.REFUSED, refusal.reason, (place.id,))
    except WebPushException as refusal:
        if refusal.response is None:
            return DeliveryResult(DeliveryStatus.REFUSED, Reason("push_bad_keys"), (place.id,))
        if refusal.response.status_code in NO_MORE:
            return DeliveryResult(DeliveryStatus.REFUSED, Reason("push_gone"), (place.id,))
        return delivery_result(refusal.response, "push")
    except requests.RequestException as error:
        return not_answered(error, "push")
    return (
        DeliveryResult(DeliveryStatus.SENT)
        if isinstance(answer, requests.Response)
        else DeliveryResult(DeliveryStatus.REFUSED)
    )
