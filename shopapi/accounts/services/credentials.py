"""Checking an address and password, with throttling, and remembering browsers that have signed in before."""

import secrets
from datetime import datetime, timedelta
from math import ceil

from django.contrib.auth.hashers import check_password, make_password
from django.core import signing
from django.db import transaction
from django.db.models import Max

from shopapi.accounts.models import LoginAttempt, User
from shopapi.accounts.rules import (
    NETWORKS_AT_ONCE,
    NETWORKS_WINDOW,
    TRIES_PER_NETWORK,
    TRY_WINDOW,
    network_block,
    sign_in_name,
    wait_backing_off,
    wait_in_window,
)
from shopapi.accounts.services.security_events import record_refused_tries
from shopapi.accounts.services.throttling import attempt_times, record_attempt, throttle_key, wait_for_turn
from shopapi.core.clock import now
from shopapi.core.errors import Invalid, TooMany

KNOWN_FOR = timedelta(days=365)
"""How long a browser counts as one that has signed in before."""


def check_sign_in(*, email: str, password: str, network: str, mark: str = "") -> User:
    """The user of an address and password. Raises TooMany `too_many_tries` or Invalid `wrong_credentials`.

    The audit trail has the refusals.

    Wrong passwords are counted in the database, so that every web process sees them: per account and network, with
    waits that grow where many networks guess at one account or one network at many. A browser that has signed in to
    the account before (`mark`, see `known_browser_mark`) has its own count, so guesses of others do not lock it out.
    The caller holds no transaction: a refusal here must still be counted.
    """
    name = sign_in_name(email)
    user = User.objects.filter(sign_in=name, is_active=True).first()
    return record_refused_tries(user, lambda: _check_password(user, name, password, network, mark))


def _check_password(user: User | None, name: str, password: str, network: str, mark: str) -> User:
    browser = _known_browser(user, mark)
    account, place = throttle_key("account", name), throttle_key("network", network_block(network))
    with transaction.atomic():
        # Tries at an account, and from a network, run one at a time: concurrent ones would all find the count low.
        # Always the account's lock first: the fixed order prevents deadlocks.
        wait_for_turn(account)
        if browser is None:
            wait_for_turn(place)
            wait, tried = _wait_for_stranger(account, place, now()), (account, place)
        else:
            tried = (throttle_key("browser", f"{name} {browser}"), "")
            wait = wait_in_window(attempt_times(subject_digest=tried[0]), now())
        if wait:
            raise _too_many(wait)
        # An unknown address costs the same work as a known one.
        right = check_password(password, user.password if user else make_password(None))
        if user is not None and right:
            LoginAttempt.objects.filter(subject_digest=tried[0], network=tried[1]).delete()
            return user
        record_attempt(*tried)
    raise Invalid("wrong_credentials")


def _wait_for_stranger(account: str, place: str, at: datetime) -> timedelta:
    """How long a browser that never signed in to the account has to wait."""
    lately = LoginAttempt.objects.filter(subject_digest=account, at__gt=at - NETWORKS_WINDOW)
    from_there = attempt_times(network=place, at__gt=at - TRY_WINDOW)
    return max(
        wait_in_window(attempt_times(subject_digest=account, network=place), at),
        wait_backing_off(
            lately.values("network").distinct().count(),
            NETWORKS_AT_ONCE,
            lately.aggregate(last=Max("at"))["last"],
            at,
        ),
        wait_backing_off(len(from_there), TRIES_PER_NETWORK, from_there[0] if from_there else None, at),
    )


def _too_many(wait: timedelta) -> TooMany:
    seconds = ceil(wait.total_seconds())
    message = "too_many_passwords_seconds" if seconds <= 90 else "too_many_passwords_minutes"
    context = {"seconds": seconds, "minutes": ceil(seconds / 60)}
    return TooMany("too_many_tries", message=message, context=context, seconds=seconds)


def known_browser_name(email: str) -> str:
    """The cookie name of the mark for this address, as a digest: the address is not readable."""
    return "known-" + throttle_key("known browser", sign_in_name(email))[:16]


def known_browser_mark(user: User) -> str:
    """The cookie value that proves an earlier sign-in on a browser. A change of the password invalidates it."""
    content = [str(user.pk), user.get_session_auth_hash(), secrets.token_urlsafe(12)]
    return signing.dumps(content, salt="accounts.known-browser")


def _known_browser(user: User | None, mark: str) -> str | None:
    """The browser of a valid mark of the user; None for any other mark."""
    if user is None or not mark:
        return None
    try:
        user_id, password, browser = signing.loads(mark, salt="accounts.known-browser", max_age=KNOWN_FOR)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    hashes = (user.get_session_auth_hash(), *user.get_session_auth_fallback_hash())
    return str(browser) if user_id == str(user.pk) and password in hashes else None
