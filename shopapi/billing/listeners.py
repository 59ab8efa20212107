"""What billing does when an app below it changes something."""

from shopapi.billing.services.settings import add_settings
from shopapi.core.actor import Actor


def shop_opened(*, actor: Actor) -> None:
    """Give a new shop its billing settings."""
    add_settings(actor)
