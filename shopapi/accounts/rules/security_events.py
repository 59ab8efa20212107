"""Which sign-ins and refusals the audit trail records, and how many of one kind within an hour."""

from datetime import timedelta
from uuid import UUID

from shopapi.core.enums import TextEnum

SERVER = UUID(int=0)
"""The chain of the events that belong to no shop: tries with an address or a passkey that nobody here has."""


class SecurityEvent(TextEnum):
    """What happened, as the trail names it."""

    SIGNED_IN = "signed in"
    SIGNED_OUT = "signed out"
    SESSION_EXPIRED = "session expired"
    SIGN_IN_REFUSED = "sign-in refused"
    PERMISSION_REFUSED = "permission refused"


COUNTED_FOR = timedelta(hours=1)
MOST_IN_AN_HOUR = 60
LIMITER_CODE = "too_many_tries"


def most_within_an_hour(event: SecurityEvent, code: str) -> int:
    """How many events of this kind with this code are recorded about one member, or about nobody, within an hour.

    That the limiter of guesses begins to refuse, and that one thing is refused to one member, is said once.

    >>> most_within_an_hour(SecurityEvent.SIGN_IN_REFUSED, "wrong_credentials")
    60
    >>> most_within_an_hour(SecurityEvent.SIGN_IN_REFUSED, "too_many_tries")
    1
    """
    once = event is SecurityEvent.PERMISSION_REFUSED or code == LIMITER_CODE
    return 1 if once else MOST_IN_AN_HOUR
