"""English sentences of webhooks."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    "webhook_url": (
        "Enter an address that begins with https://, names a host of the internet and no port: https://example.com/hook"
    ),
    "webhook_private": "This address is inside a private network. Enter one that can be reached from the internet.",
    "unknown_kinds": "These kinds are unknown: {kinds}. The change list names the kinds there are.",
    "too_many_webhooks": "A shop has at most {most} webhooks. Remove one that is not used any more.",
    "webhook_without_secret": "This webhook has no secret yet. Make one first; nothing is sent without it.",
    "webhook_is_off": "This webhook is turned off. Turn it on first.",
    "delivery_waits": "This is still going to be sent; there is nothing to send again.",
}
