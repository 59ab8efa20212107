"""Text messages through any gateway with an HTTP API; its address and request body are settings."""

import json
from typing import Any, Literal

import requests
from django.conf import settings
from urllib3.exceptions import ConnectTimeoutError, NewConnectionError

from shopapi.core.errors import Context, Reason
from shopapi.notices.rules.notice import NOT_KNOWN, DeliveryResult, DeliveryStatus
from shopapi.notices.services.transports import OutboundMessage

SECONDS = (5, 20)
# The key of the service's name in `messages.py` ("who.sms").
Who = Literal["sms", "push"]
ASKS_FOR_TIME = {408, 425, 429, 503}


def fill_template(template: Any, values: dict[str, str]) -> Any:
    """A request body with {to} and {text} filled in, at any depth."""
    if isinstance(template, dict):
        return {key: fill_template(value, values) for key, value in template.items()}
    if isinstance(template, list):
        return [fill_template(value, values) for value in template]
    if isinstance(template, str):
        for name, value in values.items():
            if template == f"{{{name}}}":
                return value
        # The number first, since the text may contain braces.
        return template.replace("{to}", values["to"]).replace("{text}", values["text"])
    return template


def deliver(outbound: OutboundMessage) -> DeliveryResult:
    """Send one text message to the gateway. Redirects are not followed: only the configured host is contacted."""
    given = settings.SMS
    body = fill_template(given["body"], {"to": outbound.address, "text": outbound.body})
    headers = dict(given["headers"])
    if given["format"] == "json":
        content: bytes | dict[str, str] = json.dumps(body).encode()
        headers["Content-Type"] = "application/json"
    else:
        content = body
    try:
        answer = requests.request(
            given["method"], given["url"], data=content, headers=headers, timeout=SECONDS, allow_redirects=False
        )
    except requests.RequestException as error:
        return not_answered(error, "sms")
    return delivery_result(answer, "sms")


def not_answered(error: requests.RequestException, who: Who) -> DeliveryResult:
    """The result of a request without an answer: without a connection nothing was sent, else it is unknown."""
    reason = getattr(error.args[0] if error.args else None, "reason", None)
    if isinstance(error, requests.ConnectTimeout) or isinstance(reason, NewConnectionError | ConnectTimeoutError):
        return DeliveryResult(DeliveryStatus.LATER, Reason("gateway_unreachable", {"who": who}))
    return DeliveryResult(DeliveryStatus.UNKNOWN, NOT_KNOWN)


def delivery_result(answer: requests.Response, who: Who) -> DeliveryResult:
    """The result of an HTTP answer; a server error during processing leaves it unknown."""
    status = answer.status_code
    if 200 <= status < 300:
        return DeliveryResult(DeliveryStatus.SENT)
    if status in ASKS_FOR_TIME:
        return DeliveryResult(DeliveryStatus.LATER, Reason("gateway_later", {"who": who, "status": status}))
    if status >= 500:
        return DeliveryResult(DeliveryStatus.UNKNOWN, NOT_KNOWN)
    context: Context = {"who": who, "status": status, "answer": " ".join(answer.text.split())[:200]}
    return DeliveryResult(DeliveryStatus.REFUSED, Reason("gateway_refused", context))
