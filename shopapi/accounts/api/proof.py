"""Asking again before dangerous acts: the password or a passkey within the last fifteen minutes of this session."""

from datetime import datetime

from django.contrib.sessions.backends.base import SessionBase
from rest_framework.request import Request

from shopapi.accounts import queries
from shopapi.accounts.rules.factors import PROOF_LIFE
from shopapi.core.clock import now
from shopapi.core.errors import Forbidden


def note_proof(session: SessionBase) -> None:
    """Remember that the person has just given the password or a passkey."""
    session[queries.PROVED_AT] = now().isoformat()


def require_proof(request: Request) -> None:
    """Raise Forbidden `proof_needed` where the person of this session has not proved lately who they are.

    A key of another program cannot be asked: the proof was given when it was made.
    """
    if request.user is None or not request.user.is_authenticated:
        return
    proved = request.session.get(queries.PROVED_AT)
    if proved is None or datetime.fromisoformat(proved) + PROOF_LIFE <= now():
        raise Forbidden("proof_needed")
