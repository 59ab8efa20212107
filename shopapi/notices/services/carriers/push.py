"""Web Push: RFC 8030 to the browser's own push service, encrypted for the browser (RFC 8291), signed (RFC 8292)."""

import json
from typing import Any

import requests
from django.conf import settings
from py_vapid import Vapid02
from pywebpush import WebPushException, webpush

from shopapi.core.errors import Invalid
from shopapi.notices.rules.address import check_endpoint
from shopapi.notices.rules.notice import Fate, Outcome
from shopapi.notices.services.carriers import Parcel, Place
from shopapi.notices.services.carriers.sms import judged, not_answered

# A message that could not be shown for a day tells nothing new any more.
TTL_SECONDS = 24 * 60 * 60
SECONDS = 10
NO_MORE = {404, 410}


class NoRedirects(requests.Session):
    """Speaks to the host it was given and to no other."""

    def request(self, *args: Any, **options: Any) -> requests.Response:
        return super().request(*args, **{**options, "allow_redirects": False})


def deliver(parcel: Parcel) -> Outcome:
    """Hand a message to every device of a member; one that took it is enough."""
    if not parcel.places:
        return Outcome(Fate.REFUSED, "No device of this member shows push messages.")
    outcomes = [_to_one(place, _payload(parcel)) for place in parcel.places]
    gone = tuple(one for outcome in outcomes for one in outcome.gone)
    # What some device took was sent; what may be out is never tried again by itself.
    for fate in (Fate.SENT, Fate.UNKNOWN, Fate.LATER, Fate.REFUSED):
        found = next((outcome for outcome in outcomes if outcome.fate == fate), None)
        if found is not None:
            return Outcome(fate, found.words, gone)
    raise AssertionError


def _payload(parcel: Parcel) -> str:
    kind, row_id = parcel.about
    told = {"title": parcel.subject, "body": parcel.body, "tag": str(parcel.notice_id)}
    return json.dumps({**told, "about_kind": kind, "about_id": str(row_id)}, ensure_ascii=False)


def _to_one(place: Place, payload: str) -> Outcome:
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
        return Outcome(Fate.REFUSED, refusal.words, (place.id,))
    except WebPushException as refusal:
        if refusal.response is None:
            return Outcome(Fate.REFUSED, "This device's keys cannot be encrypted for.", (place.id,))
        if refusal.response.status_code in NO_MORE:
            return Outcome(Fate.REFUSED, "This device shows push messages no more.", (place.id,))
        return judged(refusal.response, "The push service")
    except requests.RequestException as error:
        return not_answered(error, "The push service")
    return Outcome(Fate.SENT) if isinstance(answer, requests.Response) else Outcome(Fate.REFUSED)
