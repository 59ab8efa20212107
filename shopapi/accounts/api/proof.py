"""Asking again before dangerous acts: the password or a passkey within the last fifteen minutes of this session."""

from datetime import datetime

from django.contrib.sessions.backends.base import SessionBase
from rest_framework.request import Request

from shopapi.accounts import queries
from shopapi.accounts.rules.factors import PROOF_LIFE
from shopapi.core.actor import Actor
from shopapi.core.clock import now


def note_proof(session: SessionBase) -> None:
    """Remember that the person has just given the password or a passkey."""
    session[queries.PROVED_AT] = now().isoformat()


def require_proof(request: Request) -> None:
    """Raise Forbidden `proof_needed` where the person of this session has not proved lately who they are.

    A key of another program cannot be asked: the proof was given when it was made.
    """
    if isinstance(request.auth, Actor):
        request.auth.require_proof()


def has_proved(session: SessionBase) -> bool:
    """Whether the person of a session has given the password or a passkey lately."""
    proved = session.get(queries.PROVED_AT)
    return proved is not None and now() < datetime.fromisoformat(proved) + PROOF_LIFE
