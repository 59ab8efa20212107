"""Sign-ins, their ends and refusals in the audit trail, with ids and codes alone; see `rules.security_events`.

A flood of tries cannot make the trail grow without end: what the limiter of guesses lets through is recorded, up to a
bound, and that it began to refuse.
"""

from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

from shopapi.accounts import queries
from shopapi.accounts.models import User
from shopapi.accounts.rules.security_events import (
    COUNTED_FOR,
    LIMITER_CODE,
    MOST_IN_AN_HOUR,
    SERVER,
    SecurityEvent,
    most_within_an_hour,
)
from shopapi.accounts.services.throttling import wait_for_turn
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import Invalid, TooMany
from shopapi.core.feed import lock_shop
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop

Result = TypeVar("Result")


def record_session(event: SecurityEvent, user_id: UUID, *, code: str = "") -> None:
    """Record that a session of a user began or ended; `code` says how. Nothing for a user of no shop."""
    actor = queries.actor_for_session(user_id)
    if actor is not None:
        _record_about(actor, event, code)


def record_refused_tries(user: User | None, check: Callable[[], Result]) -> Result:
    """The result of a check of who somebody is; its refusal is recorded, for the shop of `user` or the server.

    The caller holds no transaction. Raises what `check` raises.
    """
    try:
        return check()
    except (Invalid, TooMany) as refused:
        # Asking for the second factor is a step of every such sign-in.
        if refused.code != "second_factor_needed":
            actor = queries.actor_for_session(user.pk) if user else None
            _record_about(actor, SecurityEvent.SIGN_IN_REFUSED, refused.code)
        raise


def record_refused_permission(actor: Actor, code: str, *, of: str) -> None:
    """Record that something was refused to an actor; `of`: a command, or a method with its route.

    Each of them is recorded once an hour.
    """
    _record_about(actor, SecurityEvent.PERMISSION_REFUSED, code, of=of)


def _record_about(actor: Actor | None, event: SecurityEvent, code: str, **details: str) -> None:
    if actor is None or actor.member_id is None:
        acting, subject = Actor(shop_id=SERVER, member_id=None, permissions=frozenset()), ("server", SERVER)
    else:
        acting, subject = actor, ("member", actor.member_id)
    said = {"code": code, **details} if code else details
    with in_shop(acting.shop_id):
        if acting.shop_id == SERVER:
            # There is no shop whose lock would keep two of them from taking the same number.
            wait_for_turn("audit of the server")
        else:
            lock_shop(acting.shop_id)
        lately = AuditEvent.objects.filter(
            shop_id=acting.shop_id, subject_id=subject[1], event=event.value, at__gt=now() - COUNTED_FOR
        )
        known = list(lately.values_list("details", flat=True)[: MOST_IN_AN_HOUR + 1])
        alike = sum(said.items() <= before.items() for before in known)
        # That the limiter refuses is recorded beside as many tries as may be.
        full = len(known) >= MOST_IN_AN_HOUR and code != LIMITER_CODE
        if not full and alike < most_within_an_hour(event, code):
            record(acting, event.value, subject, **said)
