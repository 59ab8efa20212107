"""Authentication by a same-origin session or an API key. Both put an Actor into `request.auth`."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.contrib.sessions.backends.base import SessionBase
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import authentication, exceptions
from rest_framework.request import Request

from shopapi.accounts import queries
from shopapi.accounts.api.proof import has_proved
from shopapi.accounts.models import User
from shopapi.accounts.services.sessions import is_over
from shopapi.core.actor import Actor
from shopapi.core.errors import Forbidden


def actor_behind(user: AbstractBaseUser | AnonymousUser, session: SessionBase) -> Actor | None:
    """The actor of a browser's session; None when nobody is signed in or the session has no permissions left."""
    if not user.is_authenticated or is_over(session):
        return None
    begun = session.get(queries.SIGNED_IN_AT)
    begun_at = None if begun is None else datetime.fromisoformat(begun)
    return queries.actor_for_session(user.pk, session.get(queries.SIGN_IN, ""), begun_at=begun_at)


class SessionSignIn(authentication.SessionAuthentication):
    """Session authentication; every write needs the CSRF header."""

    def authenticate(self, request: Request) -> tuple[User, Actor] | None:
        # One that has ended by itself is nobody's: the person signs in again, and the phone keeps its queue.
        if is_over(request.session):
            return None
        found = super().authenticate(request)
        if found is None:
            return None
        actor = actor_behind(found[0], request.session)
        if actor is None:
            raise exceptions.AuthenticationFailed("Your membership has ended.", code="no_membership")
        return found[0], replace(actor, unproved=not has_proved(request.session))

    def enforce_csrf(self, request: Request) -> None:
        """Check the CSRF header; raises Forbidden `csrf_failed`."""
        try:
            super().enforce_csrf(request)
        except exceptions.PermissionDenied:
            raise Forbidden("csrf_failed") from None

    def authenticate_header(self, request: Request) -> str:
        # With a header DRF answers 401, which tells a phone to sign in again; without one it would answer 403.
        return "Session"


class KeySignIn(authentication.BaseAuthentication):
    """`Authorization: Bearer <key>` (RFC 6750) or `Token <key>` for API clients."""

    def authenticate(self, request: Request) -> tuple[Any, Actor] | None:
        scheme, _, key = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() not in {"bearer", "token"}:
            return None
        actor = queries.actor_for_token(key.strip())
        if actor is None:
            raise exceptions.AuthenticationFailed("This key is unknown, was revoked, or has ended.", code="bad_token")
        return None, actor

    def authenticate_header(self, request: Request) -> str:
        return "Bearer"


class SessionSignInSchema(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call] # registers itself
    target_class = SessionSignIn
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": "__Host-session"}


class KeySignInSchema(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call] # registers itself
    target_class = KeySignIn
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "header", "name": "Authorization", "description": "`Bearer <key>`"}
