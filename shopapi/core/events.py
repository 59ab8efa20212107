"""Events that an app tells the apps above it, which it must not import: `publish("site_moved", …)`.

An app listens by a function of the event's name in its module `listeners`. Listeners run in the publisher's
transaction, under the shop's write lock, in the order of the apps.
"""

from typing import Any

from shopapi.core.discovery import app_modules


def publish(event: str, **facts: Any) -> None:
    """Call every listener of an event."""
    for module in app_modules("listeners"):
        if listener := getattr(module, event, None):
            listener(**facts)
