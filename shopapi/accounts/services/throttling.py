"""Failed sign-ins and wrong links, counted in the database so that every web process sees them."""

import hashlib
from datetime import datetime

from django.db import connection

from shopapi.accounts.models import LoginAttempt
from shopapi.accounts.rules import (
    NETWORKS_WINDOW,
    TRIES_PER_NETWORK,
    TRY_WINDOW,
)
from shopapi.core.clock import now
from shopapi.core.errors import TooMany


def attempt_times(**which: object) -> list[datetime]:
    """The times of such tries, the latest first, as many as any limit needs."""
    return list(
        LoginAttempt.objects.filter(**which).order_by("-at").values_list("at", flat=True)[: 2 * TRIES_PER_NETWORK]
    )


def wait_for_turn(mark: str) -> None:
    """Take an advisory lock on this key until the transaction ends."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [mark])


def refuse_too_many(kind: str, value: str, most: int, message: str) -> None:
    """Raise TooMany once `most` tries were counted within the last five minutes."""
    if LoginAttempt.objects.filter(subject_digest=throttle_key(kind, value), at__gt=now() - TRY_WINDOW).count() >= most:
        raise TooMany("too_many_tries", message=message, seconds=int(TRY_WINDOW.total_seconds()))


def count_attempt(kind: str, value: str) -> None:
    """Count a try in the database, so that every web process sees it. Stores digests, not who tried."""
    record_attempt(throttle_key(kind, value), "")


def record_attempt(subject_digest: str, network: str) -> None:
    at = now()
    LoginAttempt.objects.create(subject_digest=subject_digest, network=network, at=at)
    LoginAttempt.objects.filter(at__lt=at - NETWORKS_WINDOW).delete()


def throttle_key(kind: str, value: str) -> str:
    return hashlib.sha256(f"{kind}:{value}".encode()).hexdigest()
